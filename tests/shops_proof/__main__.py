"""Print what the intervals hold: `python -m tests.shops_proof`. About a minute."""

from tests.shops_proof import measure
from tests.shops_proof.shops import simulate

SHOPS = 500


def main() -> None:
    for jobs in (400, 2000):
        shops = simulate(jobs, SHOPS, jobs)
        print(f"{SHOPS} shops of {jobs} jobs: truth, mean estimate, 95 % intervals that hold it")
        for of in (
            measure.rate,
            measure.naive,
            measure.curve,
            measure.curve_unseen,
            measure.stratified,
            measure.crude,
        ):
            found = of(shops)
            held = f"{found.coverage:.1%} of {found.shops}"
            print(f"  {found.name:24} {found.truth:.4f}  {found.mean:.4f}  {held}")
        apart = measure.blamed(shops)
        print(f"  equally good technicians beyond 95 % limits: {apart.crude:.1%} by their rate,")
        print(f"    {apart.by_mix:.1%} by what their jobs expect")
    for share, hoped in ((0.08, (0.08, 0.04)), (0.06, (0.08, 0.04)), (0.12, (0.12, 0.06))):
        helpful = measure.called_helpful(5, SHOPS, share=share, hoped=hoped)
        print(
            f"changes that did nothing, at {share:.0%}, looked at for 24 months: {helpful:.1%} called helpful"
        )
    picked = measure.called_helpful(5, SHOPS, share=0.08, hoped=(0.08, 0.04), after_at_least=0.1)
    print(f"the same at 8%, made after a stretch of 10% and compared with it: {picked:.1%} called helpful")


main()
