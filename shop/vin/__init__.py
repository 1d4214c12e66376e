"""The vehicle identification number: what it must look like, what it says, how it is misread."""

from shop.vin.entry import explained, oddities, suggestion
from shop.vin.number import check_digit_verdict, clean_vin, form_fault, model_year
from shop.vin.words import remark

__all__ = [
    "check_digit_verdict",
    "clean_vin",
    "explained",
    "form_fault",
    "model_year",
    "oddities",
    "remark",
    "suggestion",
]
