from __future__ import annotations

from diagnostics import catalogue
from diagnostics.demo.faults import FAULTS, FITS, faults_of


def test_every_symptom_has_a_fault_behind_it():
    assert all(faults_of(symptom) for symptom in catalogue.load().symptoms.values())


def test_fits_name_symptoms_of_the_catalogue_and_components_of_their_system():
    symptoms = catalogue.load().symptoms
    for code, components in FITS.items():
        known = {fault.component for fault in FAULTS[symptoms[code].system]}

        assert set(components) <= known, code


def test_every_system_of_the_catalogue_has_faults():
    assert set(FAULTS) == set(catalogue.load().systems)
