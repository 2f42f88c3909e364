"""Dose arithmetic against published doses."""

from __future__ import annotations

import pytest

from ashcomb.kernel.errors import UserError
from ashcomb.science.dose import NOT_PROOF, dose_from_text, dose_logs, dose_uniformity, logs_of_kill, minimum_dose
from ashcomb.science.formula import REGISTRY
from ashcomb.sources.library import value


def test_units_of_dose():
    assert dose_from_text("1.5 Mrad") == 15  # Katznelson and Robb 1962: 1.5 to 2.0 Mrad, that is 15 to 20 kGy
    assert dose_from_text("15000 Gy") == pytest.approx(15)
    with pytest.raises(UserError):
        dose_from_text("15")


def test_minimum_dose_against_the_law():
    assert not minimum_dose(15, 20).met  # Florida Administrative Code 5B-54.0175: at least 20 kGy
    assert minimum_dose(20, 20).met
    short = minimum_dose(14.6, 15)
    assert not short.met
    assert short.missing_kgy == pytest.approx(0.4)
    assert "0.4 kGy short" in short.words


def test_the_mean_never_enters():
    assert set(REGISTRY["minimum_dose"].inputs) == {"minimum_kgy", "required_kgy"}
    # WHO text on food irradiation: minimum 10, maximum 30: the middle is 20, the true mean about 16
    assert 20 * (1 - value("treatment.midpoint_excess").value) == pytest.approx(16, abs=1)


def test_dose_uniformity():
    assert dose_uniformity(36, 20) == pytest.approx(1.8, abs=0.01)  # terms of food irradiation: maximum / minimum
    with pytest.raises(UserError):
        dose_uniformity(20, 36)


def test_logs_carry_their_warning():
    # de Guzman 2011: 0.2 kGy on glass; J. Food Prot. 1991: up to 4.0 kGy in honey
    glass = dose_logs(15, value("treatment.d10_glass").value)
    honey = dose_logs(15, value("treatment.d10_honey").value)
    assert glass.logs == pytest.approx(75, rel=0.01)
    assert honey.logs == pytest.approx(3.75, rel=0.01)
    assert glass.warning == honey.warning == NOT_PROOF


def test_kill_in_logs():
    assert logs_of_kill(0.886) == pytest.approx(0.943, abs=0.005)  # Front. Vet. Sci. 2022, 9:884425: 88.6 % killed
