"""What the owner sets for the audit: of each shop, and of their own letters."""

from __future__ import annotations

from decimal import Decimal

from django import forms

from shop.models import Location, StaffMember

LEAST_TO_COMPARE = 10


class ShopForm(forms.ModelForm):
    """The policy of one shop."""

    use_required_attribute = False

    loaded_rate = forms.DecimalField(
        label="An hour costs the shop",
        required=False,
        min_value=Decimal(0),
        max_digits=9,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "invalid": "Write an amount such as 58.00, without a currency sign.",
            "min_value": "Write an amount of nothing or more.",
            "max_decimal_places": "Write at most two decimals, such as 58.00.",
        },
        help_text="Wages with all overheads. Offered on the cost form of a return; empty: not known.",
    )

    class Meta:
        model = Location
        fields = ["loaded_rate", "fewest_to_compare", "follow_up_days"]
        labels = {
            "fewest_to_compare": "Fewest jobs to compare",
            "follow_up_days": "Call after, days",
        }
        widgets = {
            name: forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
            for name in ("fewest_to_compare", "follow_up_days")
        }
        error_messages = {
            name: {"invalid": "Write a whole number.", "required": "Write a number."}
            for name in ("fewest_to_compare", "follow_up_days")
        }

    def clean_fewest_to_compare(self):
        fewest = self.cleaned_data["fewest_to_compare"]
        if fewest < LEAST_TO_COMPARE:
            raise forms.ValidationError("Below 10 jobs a rate says nothing. Write 10 or more.", code="few")
        return fewest


class ReportForm(forms.ModelForm):
    """Whether and where the monthly report goes to this owner."""

    use_required_attribute = False

    class Meta:
        model = StaffMember
        fields = ["wants_report", "email"]
        labels = {"wants_report": "Send me the monthly report", "email": "To this e-mail address"}
        error_messages = {"email": {"invalid": "Write an address such as gwen@example.com."}}

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("wants_report") and not cleaned.get("email") and "email" not in self.errors:
            self.add_error("email", "Write the address the report goes to, or take the tick away.")
        return cleaned
