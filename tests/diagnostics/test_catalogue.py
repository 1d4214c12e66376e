"""The starter library is whole, in order, and agrees with the trade's reference values."""

import re
from decimal import Decimal

import pytest

from diagnostics.catalogue import CatalogueError, load, read
from shared.units import find_unit

SYSTEMS = {
    "cooling", "hvac", "engine_mechanical", "charging", "battery", "starting", "fuel", "ignition",
    "intake_air", "exhaust", "emissions", "lubrication", "brakes_hydraulic", "brakes_friction",
    "steering", "suspension", "tyres_wheels", "transmission", "driveline", "body_water",
    "body_closures", "body_electrical", "lighting", "network", "restraint",
}  # fmt: skip

# NHTSA component categories, as spelled in the public complaint data. Read in public copies.
NHTSA_COMPONENTS = {
    "AIR BAGS", "ELECTRICAL SYSTEM", "ENGINE", "ENGINE AND ENGINE COOLING", "EQUIPMENT",
    "EXHAUST SYSTEM", "EXTERIOR LIGHTING", "FUEL SYSTEM, DIESEL", "FUEL SYSTEM, GASOLINE",
    "LATCHES/LOCKS/LINKAGES", "PARKING BRAKE", "POWER TRAIN", "SEAT BELTS", "SERVICE BRAKES",
    "SERVICE BRAKES, HYDRAULIC", "STEERING", "STRUCTURE", "SUSPENSION", "TIRES", "VISIBILITY", "WHEELS",
}  # fmt: skip

# Work on these can be done without touching anything dangerous.
HARMLESS = {"door_gap", "seal_grip", "tyre_pressure", "pressure_sensor_reading"}

# Lowest and highest allowed, and where the figure comes from. "Read" and "from memory" say how it
# was checked; the rest is common practice of the trade, with no single authority.
LIMITS = [
    # Battery and charging. Common practice; the 9.6 V load figure holds at 70 °F and above.
    ("rest_voltage", "12.40", "12.90", "common practice, beside a table credited to BCI"),
    ("battery_load_voltage", "9.6", None, "common practice, several public service pages"),
    ("cranking_voltage", "9.6", None, "common practice"),
    ("standing_draw", None, "50", "common practice"),
    ("fuse_branch_draw", None, "50", "common practice"),
    ("time_to_sleep", None, "60", "common practice, 20 to 40 min, some an hour"),
    ("charging_voltage", "13.5", "14.7", "common practice"),
    ("charging_ripple_pp", None, "0.5", "common practice"),
    ("charging_ripple_ac", None, "0.1", "common practice, 0.05 to 0.1 V"),
    # Acceptable voltage drops with current flowing. Common practice.
    ("starter_positive_drop", None, "0.5", "common practice, starter positive side"),
    ("starter_ground_drop", None, "0.3", "common practice, starter ground side"),
    ("charge_cable_drop", None, "0.5", "common practice, charging positive side"),
    ("charge_ground_drop", None, "0.2", "common practice, charging ground side"),
    ("supply_drop", None, "0.2", "common practice, a wire run"),
    ("blower_supply_drop", None, "0.2", "common practice, a wire run"),
    ("coil_supply_drop", None, "0.2", "common practice, a wire run"),
    ("connector_supply_drop", None, "0.2", "common practice, a wire run"),
    ("unit_supply_drop", None, "0.2", "common practice, a wire run"),
    ("restraint_supply_drop", None, "0.2", "common practice, a wire run"),
    ("lock_actuator_drop", None, "0.2", "common practice, a wire run"),
    ("switch_drop", None, "0.3", "common practice, a switch or relay contact"),
    ("starter_control_voltage", None, "0.5", "common practice, wire run and one contact"),
    ("fuel_pump_supply_drop", None, "0.5", "common practice, wire run and one contact"),
    ("lamp_supply_drop", None, "0.5", "common practice, wire run and one contact"),
    ("ground_drop", None, "0.1", "common practice, a ground connection"),
    ("connector_ground_drop", None, "0.1", "common practice, a ground connection"),
    ("unit_ground_drop", None, "0.1", "common practice, a ground connection"),
    ("lamp_ground_drop", None, "0.1", "common practice, a ground connection"),
    ("connector_drop", None, "0.1", "common practice, a connector"),
    ("battery_clamp_drop", None, "0.1", "common practice, a connector"),
    ("sensor_ground_drop", None, "0.05", "common practice, a sensor ground"),
    ("sensor_supply", "4.75", "5.25", "common practice, 5.0 V within 0.25 V"),
    ("relay_coil", "75", "110", "read in three relay data pages"),
    # Networks.
    ("can_termination", "50", "70", "common practice round the 60 ohm of ISO 11898-2"),
    ("can_node_resistance", "10", "50", "read in a public service text"),
    ("can_high_average", "2.5", "2.7", "common practice"),
    ("can_low_average", "2.3", "2.5", "common practice"),
    ("can_recessive_level", "2.0", "3.0", "read in driver data sheet SLLSF80B"),
    ("can_high_dominant", "2.75", "4.5", "read in driver data sheet SLLSF80B"),
    ("can_low_dominant", "0.5", "2.25", "read in driver data sheet SLLSF80B"),
    ("can_difference_dominant", "1.5", "3.0", "read in driver data sheet SLLSF80B"),
    ("lin_low_level", None, "20", "read in driver data sheets TLIN2021A and TLIN1021"),
    ("lin_high_level", "80", None, "read in driver data sheets TLIN2021A and TLIN1021"),
    ("vpw_active_level", "6.25", "8.00", "read in a public table of SAE J1850 VPW"),
    ("vpw_passive_level", "0.00", "1.50", "read in a public table of SAE J1850 VPW"),
    ("k_line_idle", "70", None, "ISO 14230-1 receiver threshold, from memory"),
    # Engine, fuel, ignition, cooling.
    ("compression_lowest", "690", None, "common practice, about 100 psi"),
    ("compression_share", "75", None, "common practice, lowest over highest"),
    ("cylinder_leakage", None, "20", "common practice, 10 good, 20 worn, 30 a fault"),
    ("manifold_vacuum", "57.6", "71.1", "common practice, 17 to 21 inHg, read in public pages"),
    ("fuel_trim_sum", "-10", "10", "common practice"),
    ("fuel_pressure_fall", None, "35", "common practice, 20 to 35 kPa in 5 min"),
    ("injector_resistance", "11", "18", "common practice, high-impedance type"),
    ("injector_spread", None, "1", "common practice"),
    ("coil_primary", "0.4", "2", "common practice"),
    ("coil_secondary", "5", "20", "common practice"),
    ("cooling_pressure_hold", "2", None, "common practice"),
    ("coolant_sensor_resistance", "2", "3", "common practice, typical sensor at 20 °C"),
    ("coolant_sensor_signal", "0.5", "1", "common practice, typical sensor hot"),
    # Brakes, steering, tyres.
    ("disc_runout", None, "0.10", "common practice, 0.05 to 0.10 mm"),
    ("disc_thickness_variation", None, "0.015", "common practice, 0.010 to 0.015 mm"),
    ("pad_thickness", "3", None, "common practice"),
    ("lining_thickness", "1.6", None, "49 CFR 570.59, 1/16 in over the shoe, read"),
    ("hydraulic_pad_commercial", "1.6", None, "49 CFR 393.47(d), 1/16 in, read"),
    ("pedal_travel_used", None, "80", "49 CFR 570.55(c), read"),
    ("brake_fluid_boiling", "140", None, "49 CFR 571.116, DOT 3 wet, read in public copies"),
    ("steering_free_play", None, "50.8", "49 CFR 570.7 table 1, 2 in, read in a public copy"),
    ("steering_linkage_play", None, "6.35", "49 CFR 570.7(b), 1/4 in, read in a public copy"),
    ("tread_depth", "1.6", None, "49 CFR 393.75(c), 2/32 in, read"),
    ("tread_depth_commercial_steer", "3.2", None, "49 CFR 393.75(b), 4/32 in, read"),
    # Computed by us.
    ("fuse_drop", None, "0.385", "50 mA through 7.70 mohm, the typical 10 A blade fuse"),
    ("oil_consumption", None, "100", "the allowance itself"),
]

# The six stories of the demonstration, and the test that decides each.
STORIES = [
    ("flat_after_standing", "battery", "standing_draw"),
    ("charge_lamp_idle_load", "charging", "charge_cable_drop"),
    ("misfire_wet", "ignition", "water_mist"),
    ("network_faults_many", "network", "can_termination"),
    ("ac_warm_in_traffic", "hvac", "ac_leak_test"),
    ("brake_pulsation", "brakes_friction", "disc_runout"),
]

CAUTIONS_OF_SYSTEM = [
    ("battery", {"battery"}),
    ("starting", {"battery", "rotating_parts"}),
    ("fuel", {"fuel", "exhaust_gas"}),
    ("exhaust", {"exhaust_gas", "hot_parts"}),
    ("brakes_friction", {"brake"}),
    ("brakes_hydraulic", {"brake"}),
    ("network", {"network"}),
    ("restraint", {"restraint"}),
    ("cooling", {"cooling_pressure", "hot_parts"}),
]


def _decimal(text):
    return None if text is None else Decimal(text)


def test_the_library_has_every_system_and_enough_of_everything():
    catalogue = load()

    assert set(catalogue.systems) == SYSTEMS
    assert len(catalogue.symptoms) >= 60
    assert len(catalogue.tests) >= 80
    assert {symptom.system for symptom in catalogue.symptoms.values()} == SYSTEMS
    assert {test.system for test in catalogue.tests.values()} == SYSTEMS


def test_the_library_is_read_once():
    assert load() is load()


def test_every_system_maps_to_an_open_complaint_category():
    assert {system.nhtsa for system in load().systems.values()} <= NHTSA_COMPONENTS


def test_every_unit_is_known_and_measures_the_quantity_named():
    for test in load().tests.values():
        if test.kind == "numeric":
            unit = find_unit(test.unit)
            assert unit is not None, test.code
            assert unit.kind == test.quantity, test.code


def test_every_instruction_has_two_to_five_sentences():
    for test in load().tests.values():
        sentences = re.findall(r"[.!?](?:\s|$)", test.how)

        assert 2 <= len(sentences) <= 5, test.code


def test_every_code_and_point_fits_the_exchange_form():
    # job-history.schema.json: a reference has at most 64 characters.
    catalogue = load()

    for test in catalogue.tests.values():
        assert len(test.code) <= 64, test.code
        assert len(test.point) <= 64, test.code
    assert all(len(code) <= 64 for code in (*catalogue.symptoms, *catalogue.systems))


def test_every_attribute_test_says_when_it_passes_or_fails():
    for test in load().tests.values():
        if test.kind == "attribute":
            assert re.search(r"\b(passes|fails|must)\b", test.how), test.code


def test_a_common_practice_limit_says_that_it_is_one_and_yields_to_the_maker():
    for test in load().tests.values():
        if test.limit_source == "P":
            assert "common practice" in test.limit_says, test.code
            assert re.search(r"maker's (figure|table|way)|figure wins", test.limit_says), test.code


def test_a_numeric_test_without_a_limit_says_whose_figure_is_needed():
    for test in load().tests.values():
        if test.kind == "numeric" and test.lo is None and test.hi is None:
            assert re.search(r"maker's figure|rule or the maker|no single limit|no limit", test.limit_says), (
                test.code
            )


@pytest.mark.parametrize(("code", "lo", "hi", "source"), LIMITS)
def test_a_limit_is_that_of_its_source(code, lo, hi, source):
    test = load().tests[code]

    assert (test.lo, test.hi) == (_decimal(lo), _decimal(hi)), source


def test_every_limit_stands_in_the_table_of_sources():
    limited = {test.code for test in load().tests.values() if test.lo is not None or test.hi is not None}

    assert limited == {code for code, *_ in LIMITS}


@pytest.mark.parametrize(("code", "lo", "hi", "source"), LIMITS)
def test_a_limit_carries_the_mark_of_its_source(code, lo, hi, source):
    mark = load().tests[code].limit_source

    if "common practice" in source:
        assert mark == "P"
    elif "from memory" in source:
        assert mark == "M"
    elif code in {"fuse_drop", "oil_consumption"}:
        assert mark == "C"
    elif code == "brake_fluid_boiling":
        # The figure is the rule's; using it for fluid in service is common practice.
        assert mark == "P"
    else:
        assert mark == "R"


def test_the_end_resistor_band_encloses_two_of_120_ohm_in_parallel_only():
    # ISO 11898-2: 120 ohm at each end. One alone reads 120, three read 40.
    test = load().tests["can_termination"]

    assert test.lo <= Decimal(120) / 2 <= test.hi
    assert Decimal(120) > test.hi
    assert Decimal(120) / 3 < test.lo


def test_the_fuse_drop_limit_is_the_draw_limit_times_the_typical_resistance():
    # 10 A blade fuse, type C of ISO 8820-3: typically 7.70 mohm cold. From memory, about 15 % scatter.
    tests = load().tests

    assert tests["fuse_drop"].hi == tests["standing_draw"].hi / 1000 * Decimal("7.70")


def test_inch_limits_are_converted_exactly_or_rounded_to_a_tenth():
    # 49 CFR 393.75 and 570.59 give inches; one inch is 25.4 mm by the 1959 agreement.
    tests = load().tests

    assert round(Decimal("25.4") * 2 / 32, 1) == tests["tread_depth"].lo
    assert round(Decimal("25.4") * 4 / 32, 1) == tests["tread_depth_commercial_steer"].lo
    assert round(Decimal("25.4") / 16, 1) == tests["lining_thickness"].lo
    assert Decimal("25.4") * 2 == tests["steering_free_play"].hi
    assert Decimal("25.4") / 4 == tests["steering_linkage_play"].hi


def test_every_symptom_has_a_protocol_that_reads_before_and_again_after():
    catalogue = load()

    assert set(catalogue.protocols) == set(catalogue.symptoms)
    for protocol in catalogue.protocols.values():
        before = {step.test for step in protocol.steps if step.phase == "before"}
        after = {step.test for step in protocol.steps if step.phase == "after"}
        assert 2 <= len(protocol.steps) <= 8, protocol.symptom
        assert before & after, protocol.symptom


def test_steps_before_the_work_come_first():
    for protocol in load().protocols.values():
        phases = [step.phase for step in protocol.steps]

        assert phases == sorted(phases, reverse=True), protocol.symptom


def test_no_protocol_asks_to_repeat_what_cannot_be_repeated():
    catalogue = load()

    for protocol in catalogue.protocols.values():
        for step in protocol.steps:
            assert step.phase == "before" or catalogue.tests[step.test].repeatable, protocol.symptom


@pytest.mark.parametrize(("symptom", "system", "deciding_test"), STORIES)
def test_each_story_has_its_symptom_and_its_deciding_test_as_a_critical_step(symptom, system, deciding_test):
    catalogue = load()

    steps = {(step.test, step.phase): step.critical for step in catalogue.protocols[symptom].steps}
    assert catalogue.symptoms[symptom].system == system
    assert steps[deciding_test, "before"] is True
    assert (deciding_test, "after") in steps


def test_the_standing_draw_is_searched_by_the_drop_across_fuses():
    steps = [step.test for step in load().protocols["flat_after_standing"].steps]

    assert "fuse_drop" in steps


def test_every_test_carries_cautions_unless_it_is_harmless():
    assert {test.code for test in load().tests.values() if not test.cautions} == HARMLESS


@pytest.mark.parametrize(("system", "cautions"), CAUTIONS_OF_SYSTEM)
def test_every_test_of_a_dangerous_system_carries_one_of_its_cautions(system, cautions):
    for test in load().tests.values():
        if test.system == system:
            assert cautions & set(test.cautions), test.code


def test_tests_that_open_the_refrigerant_circuit_carry_its_caution():
    tests = load().tests.values()

    opening = [test for test in tests if test.code.startswith(("ac_", "refrigerant"))]
    assert len(opening) >= 6
    assert all("refrigerant" in test.cautions for test in opening)


def test_every_road_test_carries_the_road_caution():
    for test in load().tests.values():
        if test.point.startswith("road") or "road_test" in test.code:
            assert "road_test" in test.cautions, test.code


def test_every_caution_is_used_and_defers_to_the_maker_and_to_local_rules():
    catalogue = load()

    used = {caution for test in catalogue.tests.values() for caution in test.cautions}
    assert used == set(catalogue.cautions)
    for caution in catalogue.cautions.values():
        assert "maker" in caution.text, caution.code
        assert re.search(r"local rules|law|limits of your place", caution.text), caution.code


def test_no_text_uses_a_word_the_shop_avoids():
    catalogue = load()

    texts = [
        text
        for item in (*catalogue.symptoms.values(), *catalogue.tests.values(), *catalogue.cautions.values())
        for text in (getattr(item, "name", ""), getattr(item, "how", ""), getattr(item, "text", ""))
    ]
    for word in ("fixed", "root cause", "health check", "human error", "upsell", "canned job"):
        assert not [text for text in texts if word in text.lower()], word


# --- the loader ---

CAUTIONS = """
[battery]
title = "Battery gas and acid"
text = "Ventilate. Follow the maker's procedure and local rules."
"""
SYSTEM = """
code = "battery"
name = "Battery"
nhtsa = "ELECTRICAL SYSTEM"

[[symptom]]
code = "flat"
name = "Flat"
says = "It is flat"

[[test]]
code = "rest_voltage"
name = "Battery at rest"
plain = "Battery voltage"
kind = "numeric"
quantity = "voltage"
unit = "V"
lo = "12.40"
limit_source = "P"
limit_says = "common practice"
minutes = 5
point = "battery terminals"
how = "Rest it. Read it."
cautions = ["battery"]

[[test]]
code = "case_check"
name = "Case"
plain = "Look at the case"
kind = "attribute"
minutes = 5
point = "tray"
how = "Look. It passes when dry."

[[protocol]]
symptom = "flat"
version = 1
steps = [
  { test = "rest_voltage", phase = "before", critical = true },
  { test = "rest_voltage", phase = "after" },
]
"""


def _folder(tmp_path, *, system=SYSTEM, cautions=CAUTIONS):
    (tmp_path / "cautions.toml").write_text(cautions, encoding="utf-8")
    (tmp_path / "battery.toml").write_text(system, encoding="utf-8")
    return tmp_path


def test_a_small_file_is_read_as_written(tmp_path):
    catalogue = read(_folder(tmp_path))

    test = catalogue.tests["rest_voltage"]
    assert (test.system, test.lo, test.hi, test.repeatable) == ("battery", Decimal("12.40"), None, True)
    assert str(test.lo) == "12.40"
    assert test.cautions == ("battery",)
    assert catalogue.symptoms["flat"].pattern == ""
    assert [step.critical for step in catalogue.protocols["flat"].steps] == [True, False]


SLIPS = [
    ('lo = "12.40"', "lo = 12.4", "field 'lo': 12.4 is not written as text"),
    ('lo = "12.40"', 'lo = "much"', "field 'lo': 'much' is not a number"),
    ('lo = "12.40"', 'lo = "NaN"', "field 'lo': 'NaN' is no finite number"),
    ('lo = "12.40"', 'lo = "12.40"\nhi = "12.00"', "field 'lo': 12.40 is above hi, 12.00"),
    ('lo = "12.40"\n', "", "field 'limit_source': There is no limit to mark"),
    ('limit_source = "P"', 'limit_source = "X"', "field 'limit_source': 'X' .* Allowed: R, M, P, C"),
    ('limit_source = "P"\n', "", "field 'limit_source': '' is not a text"),
    ('limit_says = "common practice"\n', "", "field 'limit_says': '' is not a text"),
    ('unit = "V"\n', "", "field 'unit': '' is not a text"),
    ('kind = "numeric"', 'kind = "attribute"', "'attribute' has no quantity"),
    ('kind = "numeric"', 'kind = "guess"', "'guess' .* Allowed: numeric, attribute, code"),
    ("minutes = 5\npoint = \"battery", 'minutes = 0\npoint = "battery', "whole number from 1 to 480"),
    ('cautions = ["battery"]', 'cautions = ["acid"]', "field 'cautions': 'acid' .* Allowed: battery"),
    ('cautions = ["battery"]', 'cautions = "battery"', "is not a list of texts"),
    ('cautions = ["battery"]', "colour = 1", "field 'colour': There is no such field"),
    ('code = "case_check"', 'code = "rest_voltage"', "'rest_voltage' is used twice"),
    ('code = "case_check"', 'code = "Case check"', "'Case check' is not a code"),
    ('says = "It is flat"', 'says = " "', "'flat', field 'says'"),
    ('says = "It is flat"', 'says = "It is flat"\npattern = "odd"', "Allowed: constant, intermittent"),
    ('symptom = "flat"', 'symptom = "other"', "'other' is no symptom"),
    ('{ test = "rest_voltage", phase = "after" },', "", "field 'steps': There are 1. Allowed: 2 to 8"),
    ('phase = "after" }', 'phase = "during" }', "'during' .* Allowed: before, after"),
    ('phase = "after" }', 'phase = "before" }', "One test stands twice in one phase"),
    ('test = "rest_voltage", phase = "after"', 'test = "case_check", phase = "before"', "Nothing is read"),
    ('test = "rest_voltage", phase = "after"', 'test = "gone", phase = "after"', "'gone' is no test"),
    ("critical = true", 'critical = "yes"', "'yes' is not a yes or no"),
    ('name = "Battery"', "name = ", "field '\\(file\\)'"),
]  # fmt: skip


@pytest.mark.parametrize(("written", "slip", "says"), SLIPS)
def test_a_slip_is_refused_with_its_place_and_what_is_allowed(tmp_path, written, slip, says):
    folder = _folder(tmp_path, system=SYSTEM.replace(written, slip, 1))

    with pytest.raises(CatalogueError, match=says) as caught:
        read(folder)
    assert caught.value.file == "battery.toml"
    assert caught.value.allowed in str(caught.value)


def test_a_symptom_without_a_protocol_is_refused(tmp_path):
    folder = _folder(tmp_path, system=SYSTEM.partition("[[protocol]]")[0])

    with pytest.raises(CatalogueError, match=r"battery.toml, 'flat', field 'protocol': It has none"):
        read(folder)


def test_a_folder_without_cautions_is_refused(tmp_path):
    with pytest.raises(CatalogueError, match=r"cautions.toml, .* cannot be read"):
        read(tmp_path)
