from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shared.past_moment import PastMomentField
from shop.desk.number import about_number
from shop.models import Complaint, Customer, RepairOrder, StaffMember, Symptom, Vehicle
from shop.vin import clean_vin, explained, form_fault

HOW_OFTEN = [
    ("", "not asked"),
    ("every time", "every time"),
    ("most times", "most times"),
    ("sometimes", "sometimes"),
    ("once", "once"),
]
SAFETY = [
    ("no", "No"),
    ("yes", "Yes: stalled, lost brakes or steering, smoke, fuel smell, fire, crash, injury or a red lamp"),
    ("unknown", "They do not know"),
]
SEEN_AT_DESK = [("not tried", "not tried"), ("yes", "yes"), ("no", "no")]

# The questions of the desk, asked as facts. Each is kept under its own name with the complaint.
INTAKE_QUESTIONS = {
    "expected": "What did you expect instead?",
    "would_count": "What would count as put right?",
    "first_time": "When was the first time, and at what reading?",
    "before_that": "What was done to the vehicle in the weeks before?",
    "last_week": "How many times in the last week, and when last?",
    "when_in_drive": "When in a drive: start, idle, pulling away, steady, braking, turning, after parking?",
    "temperature_weather": "Engine warm or cold? Rain, heat, frost, damp, time of day?",
    "road_load": "Road, load and what is switched on?",
    "speed_gear": "Which speed, engine speed and gear?",
    "where_how": "Where on the vehicle; what do you see, hear, smell, feel?",
    "lamps": "Which warning lamps or messages; steady or flashing?",
    "when_not": "When does it not happen? What makes it stop?",
    "who_drives": "Who drives it, and can they show us?",
    "worked_on_before": "Who worked on it before for this, and was it better for a while?",
    "keep_and_limit": "May we keep it overnight and drive it? Limit for finding it? Who may say yes?",
}


class SymptomChoiceField(forms.ModelChoiceField):
    """Symptoms in groups by system; the system follows from the symptom."""

    def __init__(self, **kwargs):
        super().__init__(
            Symptom.objects.select_related("system").order_by("system__name", "name"),
            to_field_name="code",
            empty_label="Not known yet",
            **kwargs,
        )
        self.iterator = _GroupedBySystem

    def label_from_instance(self, symptom):
        return symptom.name


class _GroupedBySystem(forms.models.ModelChoiceIterator):
    def __iter__(self):
        yield "", self.field.empty_label
        groups = {}
        for symptom in self.queryset:
            groups.setdefault(symptom.system.name, []).append(self.choice(symptom))
        yield from groups.items()


class FindForm(forms.Form):
    q = forms.CharField(
        label="Find a vehicle or a customer",
        required=False,
        max_length=100,
        strip=True,
        help_text="Plate, VIN, name, phone or job number",
    )


class VehicleForm(forms.ModelForm):
    class Meta:
        model = Vehicle
        fields = ["plate", "vin", "make", "model", "year", "engine"]
        widgets = {"vin": forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"})}
        help_texts = {"vin": "17 characters, without I, O and Q", "year": "2017"}

    vin_as_written = forms.BooleanField(
        label="The number is written like this on the vehicle",
        required=False,
        help_text="Older than 1981, or a number of another kind",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        vin = clean_vin(str(self["vin"].value() or ""))
        if not vin or not form_fault(vin):
            del self.fields["vin_as_written"]

    def clean_vin(self):
        typed = self.cleaned_data["vin"]
        vin = clean_vin(typed)
        is_kept = "vin_as_written" in self.fields and self["vin_as_written"].value()
        if not vin or not form_fault(vin) or is_kept or vin == self.instance.vin:
            return vin
        raise ValidationError(
            f"{explained(typed)} If the vehicle bears no other number, tick that it is written like this.",
            code="vin_form",
        )

    @property
    def vin_said(self):
        """What the number says as it stands in the form; nothing where it is empty."""
        return about_number(str(self["vin"].value() or ""), at=timezone.now())

    def clean_plate(self):
        return " ".join(self.cleaned_data["plate"].upper().split())

    def clean_year(self):
        year = self.cleaned_data["year"]
        if year is not None and not 1886 <= year <= timezone.now().year + 2:
            raise ValidationError(
                f"{year} is no year of a vehicle. Write four digits, like 2017.", code="year"
            )
        return year

    def clean(self):
        data = super().clean()
        if not any(data.get(name) for name in ("plate", "vin", "make")) and not self.errors:
            raise ValidationError("Write at least the plate, the VIN or the make.", code="vehicle_unknown")
        return data


class VehicleEditForm(VehicleForm):
    class Meta(VehicleForm.Meta):
        fields = [*VehicleForm.Meta.fields, "left_on"]
        widgets = {"left_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        labels = {"left_on": "Left us on"}


class CustomerForm(forms.ModelForm):
    class Meta:
        model = Customer
        fields = ["name", "phone", "email", "address", "reach"]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    email = forms.EmailField(required=False, label="E-mail")

    def clean(self):
        data = super().clean()
        if not data.get("name") and not data.get("phone") and not self.errors:
            raise ValidationError("Write at least a name or a phone number.", code="customer_unknown")
        return data


class ShortCustomerForm(CustomerForm):
    """The three fields that are asked while the customer stands at the desk."""

    class Meta(CustomerForm.Meta):
        fields = ["name", "phone", "email"]
        labels = {"name": "Customer's name"}


class ComplaintForm(forms.Form):
    text = forms.CharField(
        label="In your words, what happens?",
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=4000,
        help_text="Write what the customer says, as they say it.",
    )
    kind = forms.ChoiceField(label="What it is", choices=Complaint.Kind, initial="symptom")
    safety = forms.ChoiceField(
        label="Did it stall, lose brakes or steering, smoke, smell of fuel, burn, crash or hurt anyone?",
        choices=SAFETY,
        widget=forms.RadioSelect,
        error_messages={"required": "Ask about safety first. If they cannot say, choose that."},
    )
    symptom = SymptomChoiceField(label="Symptom", required=False)
    how_often = forms.ChoiceField(label="How often?", choices=HOW_OFTEN, required=False)
    seen_at_desk = forms.ChoiceField(label="Seen at the desk?", choices=SEEN_AT_DESK, required=False)
    seen_why = forms.CharField(label="Why it was seen at the desk, or not", required=False, max_length=300)
    recreate = forms.CharField(
        label="How to bring it about",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="The conditions in which the technician should try: cold start after a wet night",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, question in INTAKE_QUESTIONS.items():
            self.fields[name] = forms.CharField(label=question, required=False, max_length=1000)

    @property
    def questions(self):
        """The questions that are only asked where they help."""
        return [self[name] for name in INTAKE_QUESTIONS]

    def entry_fields(self):
        """Return what the form says of one complaint."""
        data = self.cleaned_data
        symptom = data["symptom"]
        answers = {name: data[name] for name in (*INTAKE_QUESTIONS, "recreate", "seen_why") if data[name]}
        if data["how_often"]:
            answers["how_often"] = data["how_often"]
        if data["kind"] == "symptom":
            answers["seen_at_desk"] = data["seen_at_desk"] or "not tried"
            answers["safety"] = data["safety"]
        return {
            "text": data["text"],
            "kind": data["kind"],
            "system": symptom.system.code if symptom else "",
            "symptom": symptom.code if symptom else "",
            "pattern": self._pattern(symptom),
            "is_safety": data["safety"] == "yes",
            "intake": answers,
        }

    def _pattern(self, symptom):
        often = self.cleaned_data["how_often"]
        if often == "every time":
            return "constant"
        if often:
            return "intermittent"
        return symptom.pattern if symptom else ""


SELDOM = ("odometer_explanation", "arrived_at", "visit", "waiting_on")


class VisitForm(forms.Form):
    odometer = forms.DecimalField(
        label="Odometer now",
        required=False,
        min_value=0,
        max_value=Decimal(9_999_999),
        decimal_places=1,
        # A number field of the browser drops what it cannot read; nothing typed may be lost.
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    odometer_explanation = forms.CharField(
        label="Why it reads less than last time",
        required=False,
        max_length=300,
        help_text="Only when it does: instrument replaced, read wrongly last time",
    )
    promised_at = forms.DateTimeField(
        label="Promised for",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    arrived_at = PastMomentField(
        label="Came in, if not just now", help_text="For a job that is written up later, from paper."
    )
    since_repair = forms.BooleanField(
        label="The customer, or one of us, links this to an earlier repair", required=False
    )
    technician = forms.ChoiceField(label="Technician", required=False)
    minutes_agreed = forms.IntegerField(
        label="Minutes agreed",
        required=False,
        min_value=1,
        max_value=10_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        help_text="Of finding the fault, as the customer agrees to now: 60",
    )
    visit = forms.ChoiceField(label="Kind of visit", choices=RepairOrder.Visit, initial="symptom")
    planned_ref = forms.ChoiceField(label="Planned return it belongs to", required=False)
    waiting_on = forms.ChoiceField(label="Now waits on", choices=RepairOrder.WaitingOn, initial="technician")

    def __init__(self, *args, planned_returns=(), **kwargs):
        super().__init__(*args, **kwargs)
        people = StaffMember.objects.filter(is_active=True, is_technician=True)
        names = people.order_by("signs_as").values_list("signs_as", flat=True)
        self.fields["technician"].choices = [("", "nobody yet"), *((name, name) for name in names)]
        self.fields["planned_ref"].choices = [
            ("", "none"),
            *(
                (entry.ref, f"{entry.reason or entry.ref} (job {entry.order.number})")
                for entry in planned_returns
            ),
        ]
        if not planned_returns:
            del self.fields["planned_ref"]

    @property
    def seldom(self):
        """The fields that stand folded away."""
        return [self[name] for name in SELDOM]

    @property
    def is_seldom_open(self):
        """Whether the fold stands open: where something in it is to be put right."""
        return any(field.errors for field in self.seldom)
