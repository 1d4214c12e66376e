import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from django import forms
from django.core.paginator import Paginator
from django.template import Context, Template
from django.test import RequestFactory
from django.utils import timezone

from shared import wording
from shared.moments import Moment

D = Decimal
NOON = datetime(2026, 10, 17, 12, 0, tzinfo=UTC)


def drawn(source, **context):
    """Render a piece of template and squeeze its white space."""
    html = Template(source).render(Context(context))
    return re.sub(r"\s+", " ", html.replace(wording.NBSP, " ")).strip()


class JobForm(forms.Form):
    reading = forms.CharField(label="Reading", help_text="12.31 V")
    note = forms.CharField(label="Note", required=False)
    pattern = forms.ChoiceField(
        label="How often", choices=[("c", "Every time"), ("i", "Now and then")], widget=forms.RadioSelect
    )
    agreed = forms.BooleanField(label="Agreed", required=False)


def test_a_quantity_has_a_strong_value_and_a_plain_unit():
    assert drawn('{{ v|q:"V" }}', v=D("12.30")) == '<span class="q"><b>12.30</b> V</span>'


def test_a_unit_that_was_typed_is_escaped():
    assert "<i>" not in drawn("{{ v|q:u }}", v=D("1"), u="<i>")


def test_limits_come_in_words():
    assert drawn('{% limits lo hi "A" %}', lo=None, hi=D("0.05")) == "0.05 A or less"


def test_a_distance_is_shown_in_the_unit_of_the_location():
    assert drawn("{% distance 6000 %}", location=SimpleNamespace(distance_unit="mi")) == "3,728 miles"


def test_an_odometer_reading_stays_as_recorded():
    assert drawn('{{ v|odometer:"km" }}', v=D("61204")) == "61,204 km"


def test_a_time_is_shown_in_the_active_zone():
    with timezone.override(ZoneInfo("Europe/Lisbon")):
        assert drawn("{{ at|when }}", at=NOON) == "Sat 17 Oct 2026, 13:00"


def test_a_moment_without_a_time_of_day_shows_its_date_alone():
    assert drawn("{{ at|when }}", at=Moment(date(2026, 9, 29))) == "Tue 29 Sep 2026"


def test_a_moment_with_an_instant_shows_its_time():
    with timezone.override(ZoneInfo("UTC")):
        assert drawn("{{ at|when_short }}", at=Moment(date(2026, 10, 17), NOON)) == "Sat 17 Oct, 12:00"


def test_a_timedelta_is_said_in_hours_and_minutes():
    assert drawn("{{ d|minutes }}", d=timedelta(hours=2, minutes=5)) == "2 h 5 min"


def test_a_rate_carries_its_interval():
    text = re.sub(r"<[^>]+>", "", drawn("{% rate 16 214 0.0465 0.1178 %}"))

    assert text == "16 of 214, 7.5 % (4.7 to 11.8)"


def test_a_rate_of_too_few_is_withheld():
    text = re.sub(r"<[^>]+>", "", drawn("{% rate 3 22 0.05 0.33 least=30 %}"))

    assert text == "3 of 22, too few to compare"


def test_a_strip_places_value_and_limits_in_per_cent_without_a_style_attribute():
    html = drawn("{% strip v lo hi %}", v=D("14.1"), lo=D("13.5"), hi=D("14.7"))

    assert 'x="25.00%" y="14" width="50.00%"' in html
    assert '<svg x="50.00%"><path class="at"' in html
    assert "style=" not in html


def test_a_strip_without_limits_draws_nothing():
    assert drawn("{% strip v None None %}", v=D("1")) == ""


def test_a_reading_outside_says_on_which_side():
    html = drawn('{% reading v "V" lo hi %}', v=D("12.31"), lo=D("12.40"), hi=D("12.90"))

    assert "(12.40 to 12.90 V)" in html
    assert "outside, below" in html


def test_a_table_of_readings_keeps_its_roles_when_it_folds():
    rows = [{"name": "Draw", "by": "Sat", "value": D("1.21"), "unit": "A", "hi": D("0.05"), "level": "E4"}]
    html = drawn("{% readings rows %}", rows=rows)

    assert html.count('role="cell"') == 4
    assert "E4 verified" in html


def test_the_flat_chain_in_a_row_says_each_state_to_a_screen_reader():
    rings = [{"name": "seen", "state": "joined"}, {"name": "measured", "state": "open"}]
    html = drawn('{% chain_flat rings label="Chain of job 1057" size="row" %}', rings=rings)

    assert '<span class="sr">measured open</span>' in html


def test_the_tall_chain_draws_the_page_s_own_content_in_its_link():
    rings = [{"name": "seen", "state": "explained"}]
    html = drawn(
        "{% for ring in rings|rings %}{% link ring %}<p>kept</p>{% endlink %}{% endfor %}", rings=rings
    )

    assert '<li class="link" data-state="explained" data-first data-last id="seen">' in html
    assert "<p>kept</p>" in html


def test_a_gap_offers_only_the_acts_it_was_given():
    html = drawn('{% gap "Missing" do="/a" close="/c" %}')

    assert "Do it" in html
    assert "Explain it" not in html
    assert "Close with it open" in html


def test_an_explained_gap_keeps_its_reason_and_name():
    html = drawn('{% gap "Missing" state="explained" reason="Owner declined." by="Isa Renk" %}')

    assert "data-explained" in html
    assert "“Owner declined.”" in html
    assert "Isa Renk" in html


def test_a_field_ties_its_label_hint_and_error_to_the_control():
    html = drawn("{% field form.reading %}", form=JobForm({"reading": ""}))

    assert '<label for="id_reading">Reading' in html
    assert 'aria-describedby="id_reading_helptext id_reading_error"' in html
    assert 'aria-invalid="true"' in html
    assert "required" in html
    assert 'id="id_reading_error"' in html


def test_a_field_that_may_stay_empty_says_so():
    assert "optional" in drawn("{% field form.note %}", form=JobForm())


def test_a_group_of_choices_has_a_legend():
    html = drawn("{% field form.pattern %}", form=JobForm())

    assert "<legend>How often</legend>" in html
    assert html.count('type="radio"') == 2


def test_a_hint_given_by_the_page_is_tied_too():
    assert 'aria-describedby="id_note_helptext"' in drawn(
        '{% field form.note hint="Few words." %}', form=JobForm()
    )


def test_the_error_summary_links_to_each_field():
    html = drawn("{% error_summary form %}", form=JobForm({"reading": ""}))

    assert "2 things to put right" in html
    assert '<a href="#id_reading">Reading</a>' in html
    assert '<a href="#id_pattern_0">How often</a>' in html


def test_a_form_without_errors_has_no_summary():
    assert drawn("{% error_summary form %}", form=JobForm()) == ""


def test_the_pager_keeps_the_filter():
    page = Paginator(range(60), 25).page(2)
    html = drawn('{% pager page "job" %}', page=page, request=RequestFactory().get("/", {"state": "open"}))

    assert "26 to 50 of 60 jobs" in html
    assert "?state=open&amp;page=3" in html


@pytest.mark.parametrize(
    ("now", "next_order", "aria"),
    [("", "opened", None), ("opened", "-opened", "ascending"), ("-opened", "opened", "descending")],
)
def test_a_table_head_turns_its_order_round(now, next_order, aria):
    html = drawn('{% sort_head "Opened" "opened" %}', request=RequestFactory().get("/", {"sort": now}))

    assert f'href="?sort={next_order}"' in html
    assert (f'aria-sort="{aria}"' in html) if aria else ("aria-sort" not in html)


def test_the_csv_link_keeps_the_filter_and_leaves_the_page_out():
    html = drawn("{% csv_link %}", request=RequestFactory().get("/", {"state": "open", "page": "3"}))

    assert 'href="?state=open&amp;format=csv"' in html


def test_an_interval_bar_hatches_the_interval():
    html = drawn('{% interval_bar 4.7 11.8 7.5 16 label="7.5 per cent" %}')

    assert '<rect class="band" x="23.50%"' in html
    assert 'role="img" aria-label="7.5 per cent"' in html


def test_a_ruler_says_what_it_shows():
    assert 'aria-label="38 of 60 agreed minutes used"' in drawn("{% ruler 38 60 %}")


def test_a_paper_strip_carries_its_own_pattern_and_says_before_and_after():
    html = drawn(
        '{% paper_strip v None hi "A" label="Draw" uid="d1" before=before %}',
        v=D("0.03"),
        hi=D("0.05"),
        before=D("1.21"),
    )

    assert 'id="d1"' in html
    assert "Draw: before 1.21 A, after 0.03 A, should be 0.05 A or less" in html


def test_what_a_page_gives_to_a_part_is_escaped():
    html = drawn(
        "{% gap t x %}{% notice t %}ok{% endnotice %}{% cell t x %}{% empty t %}", t="<b>t</b>", x="<i>x</i>"
    )

    assert "<b>t" not in html
    assert "<i>" not in html
