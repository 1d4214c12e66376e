from tests.diagnostics.job.conftest import (  # noqa: F401
    bram,
    complaint,
    maud,
    meter,
    now,
    order,
    shop,
    signed_in,
    technician,
    tobin,
)
