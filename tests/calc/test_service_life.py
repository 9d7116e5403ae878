"""Service life against measured times, a second implementation, a property library, and the laws it must obey."""

import csv
from dataclasses import replace
from importlib.resources import files
from math import exp, log
from pathlib import Path
from statistics import median

import chemicals
import pytest
from calls import calls_in
from examples import examples
from hypothesis import assume, given
from hypothesis import strategies as st
from published_value import printed, published

from progdoc.calc.adsorption import (
    adsorption_capacity_g_g,
    capacity_slope,
    molar_polarisation_cm3_mol,
    saturation_pressure_mmhg,
    vapour_density_g_cm3,
)
from progdoc.calc.atmosphere import standard_pressure_kpa
from progdoc.calc.bed import rate_coefficient_per_min, turning_log_ratio
from progdoc.calc.cartridge import Bed, Case, Criterion, Reason, Vapour, side_by_side
from progdoc.calc.change_schedule import (
    keepable_interval_min,
    mixture_service_life,
    scaled_service_life_min,
    sensitivities,
)
from progdoc.calc.service_life import Estimate, Refused, humidity_factor, service_life, service_lives
from progdoc.core.errors import DomainError

PUBLISHED = Path(__file__).parents[1] / "published"
TABLE = files("progdoc") / "catalogue/tables/organics.csv"
quick = examples(150)


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


ORGANICS = {row["cas"]: row for row in rows_of(TABLE)}


def vapour(cas):
    row = ORGANICS[cas]
    return Vapour(
        row["name"],
        float(row["molecular_weight"]),
        float(row["boiling_point_c"]),
        float(row["liquid_density_25c_g_cm3"]),
        float(row["molar_polarisation_cm3_mol"]),
        float(row["vapour_pressure_25c_mmhg"]),
        float(row["vapour_pressure_slope_k"]),
    )


TOLUENE = vapour("108-88-3")
PAIR = Bed(70.0, 86.0, 0.44, 0.454)
CASE = Case(TOLUENE, PAIR, 400.0, 200.0, 40.0, 22.0, 50.0)


def reasons(answer):
    assert isinstance(answer, Refused)
    return {refusal.reason for refusal in answer.reasons}


VECTORS = rows_of(PUBLISHED / "wheeler_jonas_vectors.csv")


@published("Wood (1994), Wood and Stampfer (1993): worked by a separate implementation, constants recalled")
@pytest.mark.parametrize("row", VECTORS, ids=[f"{v['name']}-{v['breakthrough_fraction']}" for v in VECTORS])
def test_every_step_agrees_with_a_separate_implementation(row):
    value = {key: float(text) for key, text in row.items() if key not in {"name", "cas"}}
    found = service_life(
        Case(
            vapour(row["cas"]),
            Bed(
                value["carbon_mass_g"],
                value["bed_area_cm2"],
                value["bed_density_g_cm3"],
                value["micropore_volume_cm3_g"],
            ),
            value["challenge_ppm"],
            None,
            value["flow_l_min"],
            value["temperature_k"] - 273.15,
            value["relative_humidity_percent"],
            fraction=value["breakthrough_fraction"],
            safety_factor=1.0,
        )
    )
    assert isinstance(found, Estimate)
    pairs = {
        "saturation_pressure_mmhg": found.saturation_pressure_mmhg,
        "liquid_density_g_cm3": found.liquid_density_g_cm3,
        "challenge_g_cm3": found.challenge_g_cm3,
        "capacity_g_g": found.capacity_g_g,
        "rate_per_min": found.rate_per_min,
        "linear_velocity_cm_s": found.linear_velocity_cm_s,
        "stoichiometric_min": found.capacity_term_min,
        "kinetic_min": found.kinetic_term_min,
        "breakthrough_min": found.service_life_min,
        "critical_mass_g": found.critical_mass_g,
    }
    for name, computed in pairs.items():
        assert computed == pytest.approx(value[name], rel=1e-3), name


def predicted_over_measured(carbon_g_per_cartridge):
    ratios, refused = [], set()
    for row in rows_of(PUBLISHED / "nelson_correia_1976.csv"):
        one = Bed(carbon_g_per_cartridge, 43.0, 0.44, 0.454)
        case = Case(
            vapour(row["cas"]),
            side_by_side(one, int(row["cartridges"])),
            float(row["challenge_ppm"]),
            None,
            float(row["flow_l_min"]),
            float(row["temperature_c"]),
            float(row["relative_humidity_percent"]),
            fraction=float(row["breakthrough_fraction"]),
            safety_factor=1.0,
        )
        answer = service_life(case)
        if isinstance(answer, Estimate):
            ratios.append(answer.service_life_min / float(row["breakthrough_min"]))
        else:
            refused.add(row["name"])
    return ratios, refused


@published("Nelson and Correia, Am. Ind. Hyg. Assoc. J. 37:514-525 (1976), experimental column, public reproduction")
def test_estimates_against_measured_times():
    """Two cartridges at 1,000 ppm, 53.3 L/min, 22 °C, 50 % humidity; 12 vapours at 1 % and 10 %.

    The report gives the carbon only as 25 to 40 g a cartridge, and 10 % of mass moves the result by about
    13 %: a tighter bound would test our guess of the mass, not the model. At 35 g the middle of the ratios has
    to lie on the short side of the measured time, and none may pass it by more than a quarter: less than
    the safety factor of 1.5 takes off again. Methanol, which lasted 0 and 3 minutes, has to be refused, and
    p-cymene is: 1,000 ppm is more than half of its saturation.
    """
    ratios, refused = predicted_over_measured(35.0)
    assert refused == {"methanol", "p-cymene"}
    assert 0.7 <= median(ratios) <= 1.05
    assert max(ratios) <= 1.25


@published("Nelson and Correia (1976): carbon reported as 25 to 40 g a cartridge")
def test_the_reported_range_of_carbon_brackets_the_measured_times():
    assert median(predicted_over_measured(26.0)[0]) < 1.0
    assert median(predicted_over_measured(40.0)[0]) == pytest.approx(1.0, abs=0.1)


def test_with_the_safety_factor_and_the_assumed_carbon_no_measured_time_is_passed():
    assert max(predicted_over_measured(35.0)[0]) / 1.5 < 1.0
    assert max(predicted_over_measured(25.0)[0]) < 1.0


@published("Python package chemicals 1.5.2 (Clapeyron-type data sets): vapour pressure from 10 to 40 °C")
@pytest.mark.parametrize("cas", ["108-88-3", "110-54-3", "123-86-4", "71-36-3", "108-38-3", "100-42-5", "78-93-3"])
@pytest.mark.parametrize("temperature_c", [10.0, 25.0, 40.0])
def test_vapour_pressures_follow_a_property_library(cas, temperature_c):
    """A pressure too low flatters the life, so 5 % that way; 20 % the other, as data sets differ (butyl acetate)."""
    row = chemicals.vapor_pressure.Psat_data_Perrys2_8.loc[cas]
    temperature_k = temperature_c + 273.15
    exact_pa = chemicals.dippr.EQ101(temperature_k, *(float(row[name]) for name in ("C1", "C2", "C3", "C4", "C5")))
    found = vapour(cas)
    computed = saturation_pressure_mmhg(found.vapour_pressure_25c_mmhg, found.vapour_pressure_slope_k, temperature_k)
    assert 0.95 <= computed / (exact_pa / 101325.0 * 760.0) <= 1.20


@published("Python package chemicals 1.5.2: molar_refractivity_from_RI (Lorentz-Lorenz)")
@quick
@given(st.floats(1.2, 1.8), st.floats(0.5, 3.0), st.floats(20.0, 300.0))
def test_polarisation_is_the_molar_refraction_of_a_property_library(index, density, weight):
    molar_volume_m3 = weight / density * 1e-6
    expected = chemicals.refractivity.molar_refractivity_from_RI(index, molar_volume_m3) * 1e6
    assert molar_polarisation_cm3_mol(index, density, weight) == pytest.approx(expected, rel=1e-12)


@published("29 CFR 1910.1000, Table Z-1 footnotes: 25 °C and 760 torr, where a mole fills 24.45 L")
def test_vapour_density_is_the_conversion_of_the_limits():
    mg_m3 = vapour_density_g_cm3(200.0, 92.14, 298.15, 101325.0) * 1e9
    assert mg_m3 == pytest.approx(200.0 * 92.14 / 24.45, rel=1e-3)


MARKED = [cas for cas, row in ORGANICS.items() if row["molar_polarisation_cm3_mol"] and not row["barred"]]
cases = st.builds(
    lambda cas, ppm, limit, flow, degrees, humidity, mass: Case(
        vapour(cas), replace(PAIR, carbon_mass_g=mass), ppm, limit, flow, degrees, humidity
    ),
    st.sampled_from(MARKED),
    st.floats(20.0, 3000.0),
    st.one_of(st.none(), st.floats(5.0, 500.0)),
    st.floats(20.0, 170.0),
    st.floats(10.0, 40.0),
    st.floats(0.0, 100.0),
    st.floats(40.0, 200.0),
)
more = st.floats(1.0, 3.0)


def minutes(case):
    answer = service_life(case)
    assert isinstance(answer, Estimate)
    return answer.service_life_min


def life(case):
    answer = service_life(case)
    assume(isinstance(answer, Estimate))
    return answer.service_life_min


def no_longer(after, before):
    return after <= before * (1 + 1e-9)


@quick
@given(cases, more)
def test_more_vapour_never_lasts_longer(case, factor):
    before = life(case)
    assert no_longer(life(replace(case, challenge_ppm=case.challenge_ppm * factor)), before)


@quick
@given(cases, more)
def test_more_flow_never_lasts_longer(case, factor):
    before = life(case)
    assert no_longer(life(replace(case, flow_l_min=case.flow_l_min * factor)), before)


@quick
@given(cases, st.floats(0.0, 50.0))
def test_moister_air_never_lasts_longer(case, points):
    before = life(case)
    moister = min(case.relative_humidity_percent + points, 100.0)
    assert no_longer(life(replace(case, relative_humidity_percent=moister)), before)


@quick
@given(cases, st.floats(0.0, 30.0))
def test_hotter_never_lasts_longer_for_the_same_mass_of_vapour(case, degrees):
    """The same mass in a cubic metre is more ppm in hotter air."""
    before = life(case)
    hotter = min(case.temperature_c + degrees, 40.0)
    expansion = (hotter + 273.15) / (case.temperature_c + 273.15)
    limit = case.limit_ppm * expansion if case.limit_ppm else None
    same_mass = replace(case, temperature_c=hotter, challenge_ppm=case.challenge_ppm * expansion, limit_ppm=limit)
    assert no_longer(life(same_mass), before)


@quick
@given(cases, st.floats(0.0, 30.0))
def test_hotter_at_the_same_ppm_gains_no_more_than_the_air_expands(case, degrees):
    before = life(case)
    hotter = min(case.temperature_c + degrees, 40.0)
    expansion = (hotter + 273.15) / (case.temperature_c + 273.15)
    assert no_longer(life(replace(case, temperature_c=hotter)), before * expansion)


@quick
@given(cases, st.floats(0.1, 1.0))
def test_a_stricter_limit_never_lasts_longer(case, share):
    limit = case.limit_ppm or case.challenge_ppm
    before = life(case)
    assert no_longer(life(replace(case, limit_ppm=limit * share)), before)


@quick
@given(cases, st.integers(2, 4))
def test_cartridges_side_by_side_at_as_many_times_the_flow_change_nothing(case, count):
    several = replace(case, bed=side_by_side(case.bed, count), flow_l_min=case.flow_l_min * count)
    assert life(several) == pytest.approx(life(case), rel=1e-9)


@quick
@given(cases)
def test_mass_balance_what_went_in_is_what_the_bed_holds(case):
    answer = service_life(case)
    assume(isinstance(answer, Estimate))
    went_in_g = answer.capacity_term_min * answer.challenge_g_cm3 * case.flow_l_min * 1000.0
    assert went_in_g == pytest.approx(answer.capacity_g_g * case.bed.carbon_mass_g, rel=1e-9)


@quick
@given(cases)
def test_dimensions_kinetic_term_is_the_time_for_the_critical_mass(case):
    answer = service_life(case)
    assume(isinstance(answer, Estimate))
    share = answer.critical_mass_g / case.bed.carbon_mass_g
    assert answer.kinetic_term_min == pytest.approx(answer.capacity_term_min * share, rel=1e-9)
    at_critical = replace(case, bed=replace(case.bed, carbon_mass_g=answer.critical_mass_g * (1 - 1e-9)))
    assert reasons(service_life(at_critical)) == {Reason.CRITICAL_MASS}


@quick
@given(cases, st.floats(1.0, 4.0))
def test_the_safety_factor_divides(case, factor):
    bare = life(replace(case, safety_factor=1.0))
    assert life(replace(case, safety_factor=factor)) == pytest.approx(bare / factor)


def test_humidity_takes_half_at_most_and_never_gives():
    assert [humidity_factor(rh) for rh in (0.0, 50.0, 85.0, 100.0)] == [1.0, 1.0, 0.5, 0.5]
    with pytest.raises(DomainError):
        humidity_factor(101.0)


def test_the_lower_of_a_tenth_and_the_limit_governs():
    tenth = service_life(CASE)
    assert (tenth.breakthrough_fraction, tenth.criterion) == (0.1, Criterion.FRACTION)
    limit = service_life(replace(CASE, limit_ppm=4.0))
    assert (limit.breakthrough_fraction, limit.criterion) == (pytest.approx(0.01), Criterion.LIMIT)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"vapour": vapour("67-56-1")}, Reason.LOW_BOILING_POINT),
        ({"vapour": replace(TOLUENE, needs_impregnated_carbon=True)}, Reason.IMPREGNATED_CARBON),
        ({"vapour": replace(TOLUENE, standard_decides=True)}, Reason.STANDARD_DECIDES),
        ({"vapour": replace(TOLUENE, is_unreliable=True)}, Reason.UNRELIABLE_DATA),
        ({"temperature_c": 9.9}, Reason.TEMPERATURE),
        ({"temperature_c": 40.1}, Reason.TEMPERATURE),
        ({"challenge_ppm": 0.2}, Reason.VAPOUR_PRESSURE),
        ({"challenge_ppm": 30_000.0}, Reason.VAPOUR_PRESSURE),
        ({"vapour": replace(TOLUENE, molar_polarisation_cm3_mol=8.0)}, Reason.TOO_DILUTE),
        ({"relative_humidity_percent": 66.0, "challenge_ppm": 199.0}, Reason.HUMID_AND_DILUTE),
        ({"fraction": 0.21, "limit_ppm": None}, Reason.LOOSE_CRITERION),
        ({"limit_ppm": 0.05}, Reason.STRICT_CRITERION),
        ({"bed": replace(PAIR, carbon_mass_g=5.0)}, Reason.CRITICAL_MASS),
    ],
)
def test_outside_its_range_the_model_refuses_with_the_reason(change, reason):
    answer = service_life(replace(CASE, **change))
    assert reason in reasons(answer)
    assert all(len(refusal.text) > 20 for refusal in answer.reasons)


@pytest.mark.parametrize(
    "change",
    [{"temperature_c": 10.0}, {"temperature_c": 40.0}, {"relative_humidity_percent": 65.0, "challenge_ppm": 150.0}],
)
def test_the_edges_of_the_range_belong_to_it(change):
    assert isinstance(service_life(replace(CASE, **change)), Estimate)


def test_every_reason_is_given_at_once():
    answer = service_life(replace(CASE, vapour=vapour("67-56-1"), temperature_c=45.0, fraction=0.3, limit_ppm=None))
    assert {Reason.LOW_BOILING_POINT, Reason.TEMPERATURE, Reason.LOOSE_CRITERION} <= reasons(answer)


@published("Nelson and Correia (1976): methanol came through at once (1 %) and after 3 minutes (10 %)")
def test_methanol_is_refused():
    assert Reason.LOW_BOILING_POINT in reasons(service_life(replace(CASE, vapour=vapour("67-56-1"))))


@pytest.mark.parametrize(
    "change",
    [
        {"challenge_ppm": 0.0},
        {"challenge_ppm": float("nan")},
        {"limit_ppm": 0.0},
        {"flow_l_min": -1.0},
        {"relative_humidity_percent": 101.0},
        {"relative_humidity_percent": float("nan")},
        {"safety_factor": 0.9},
        {"fraction": 0.0},
        {"temperature_c": -300.0},
        {"pressure_kpa": 0.0},
    ],
)
def test_a_case_of_impossible_numbers_cannot_be_made(change):
    with pytest.raises(DomainError):
        replace(CASE, **change)


def test_a_bed_or_a_vapour_of_impossible_numbers_cannot_be_made():
    with pytest.raises(DomainError):
        replace(PAIR, area_cm2=0.0)
    with pytest.raises(DomainError):
        replace(TOLUENE, boiling_point_c=float("nan"))
    with pytest.raises(DomainError):
        side_by_side(PAIR, 0)


def test_equations_refuse_what_has_no_meaning():
    with pytest.raises(DomainError, match="liquid"):
        adsorption_capacity_g_g(0.454, 0.87, 31.0, 295.0, 1.0)
    with pytest.raises(DomainError, match="liquid"):
        capacity_slope(0.454, 31.0, 295.0, 1.0)
    with pytest.raises(DomainError):
        molar_polarisation_cm3_mol(1.0, 0.87, 92.0)
    with pytest.raises(DomainError, match="fraction too small"):
        rate_coefficient_per_min(10.0, 9.0, 31.0)


@quick
@given(st.floats(10.0, 60.0), st.floats(1.0, 40.0), st.floats(0.1, 0.999))
def test_up_to_the_turning_point_a_cleaner_criterion_costs_more_time(polarisation, velocity, share):
    top = turning_log_ratio(polarisation)
    slow = top / rate_coefficient_per_min(velocity, top, polarisation)
    assert top * share / rate_coefficient_per_min(velocity, top * share, polarisation) <= slow


@quick
@given(st.floats(10.0, 60.0), st.floats(1e-5, 0.4))
def test_the_slope_is_the_derivative_of_the_capacity(polarisation, relative):
    def capacity(at):
        return adsorption_capacity_g_g(0.454, 0.87, polarisation, 295.15, at)

    step = 1e-5
    difference = log(capacity(relative * exp(step)) / capacity(relative * exp(-step))) / (2 * step)
    assert capacity_slope(0.454, polarisation, 295.15, relative) == pytest.approx(difference, rel=1e-3, abs=1e-6)


def test_a_mixture_is_its_shortest_lived_component_at_the_sum():
    butanone = replace(CASE, vapour=vapour("78-93-3"), challenge_ppm=300.0, limit_ppm=200.0)
    found = mixture_service_life([CASE, butanone])
    assert (found.governing, found.summed_ppm) == ("2-butanone", 700.0)
    assert found.estimate == service_life(replace(butanone, challenge_ppm=700.0))


@quick
@given(cases, st.sampled_from(MARKED), st.floats(20.0, 1000.0))
def test_a_mixture_never_outlasts_a_component_alone(case, cas, ppm):
    other = replace(case, vapour=vapour(cas), challenge_ppm=ppm)
    found = mixture_service_life([case, other])
    assume(not isinstance(found, Refused))
    assert no_longer(found.estimate.service_life_min, life(case))
    assert no_longer(found.estimate.service_life_min, life(other))
    assert mixture_service_life([other, case]) == found


def test_one_component_that_cannot_be_estimated_bars_the_mixture():
    methanol = replace(CASE, vapour=vapour("67-56-1"))
    assert Reason.LOW_BOILING_POINT in reasons(mixture_service_life([CASE, methanol]))


def test_a_thin_component_in_humid_air_bars_the_mixture_though_the_sum_is_not_thin():
    humid = replace(CASE, relative_humidity_percent=70.0)
    trace = replace(humid, vapour=vapour("78-93-3"), challenge_ppm=10.0)
    assert isinstance(service_life(humid), Estimate)
    assert reasons(mixture_service_life([humid, trace])) == {Reason.HUMID_AND_DILUTE}


def test_a_mixture_needs_components_in_one_air():
    with pytest.raises(DomainError):
        mixture_service_life([])
    with pytest.raises(DomainError, match="bed and the air"):
        mixture_service_life([CASE, replace(CASE, vapour=vapour("78-93-3"), flow_l_min=50.0)])


@published("AIHA rule of thumb (ch. 36) as quoted by the federal agency: twice the flow, half as long")
def test_known_lives_shorten_with_flow_and_vapour():
    assert scaled_service_life_min(60.0, 1000.0, 40.0, 1000.0, 80.0) == pytest.approx(30.0)
    assert scaled_service_life_min(60.0, 100.0, 40.0, 1000.0, 40.0) == pytest.approx(6.0)


def test_a_life_carried_to_more_vapour_is_shorter_than_the_models():
    thin = minutes(replace(CASE, challenge_ppm=200.0, limit_ppm=None))
    thick = minutes(replace(CASE, challenge_ppm=1000.0, limit_ppm=None))
    assert scaled_service_life_min(thin, 200.0, 40.0, 1000.0, 40.0) < thick


def test_sensitivity_names_what_moves_the_result_and_what_the_model_refuses():
    answers = {item.name: item for item in sensitivities(CASE)}
    plain = minutes(CASE)
    assert answers["carbon mass"].life_at_low_min < plain < answers["carbon mass"].life_at_high_min
    assert answers["flow"].life_at_high_min < plain < answers["flow"].life_at_low_min
    assert answers["concentration"].life_at_high_min < plain
    edge = {item.name: item for item in sensitivities(replace(CASE, temperature_c=38.0))}
    assert edge["temperature"].life_at_high_min is None


def test_ten_percent_of_carbon_moves_the_measured_cases_by_about_thirteen():
    case = Case(TOLUENE, PAIR, 1000.0, None, 53.3, 22.0, 50.0)
    mass = sensitivities(case)[0]
    assert mass.life_at_high_min / minutes(case) == pytest.approx(1.13, abs=0.03)


@pytest.mark.parametrize(
    ("minutes", "kept"),
    [(14.9, None), (15.0, 15.0), (119.9, 105.0), (239.9, 225.0), (240.0, 240.0), (480.0, 480.0), (509.0, 480.0)],
)
def test_intervals_are_rounded_down_to_a_time_a_crew_can_keep(minutes, kept):
    assert keepable_interval_min(minutes) == kept


def test_the_table_of_vapours_is_whole():
    assert len(ORGANICS) == 196
    assert list(ORGANICS) == sorted(ORGANICS, key=lambda cas: tuple(map(int, cas.split("-"))))
    known = {reason.value for reason in Reason}
    for cas, row in ORGANICS.items():
        digits = cas.replace("-", "")
        assert sum(int(d) * n for n, d in enumerate(digits[-2::-1], 1)) % 10 == int(digits[-1])
        assert set(row["barred"].split()) <= known
        assert bool(row["barred"]) == bool(row["barred_because"])
        assert row["molar_polarisation_cm3_mol"] or row["barred"]


@published("Python package chemicals 1.5.2: molecular weights")
def test_molecular_weights_are_those_of_a_property_library():
    for cas, row in ORGANICS.items():
        assert float(row["molecular_weight"]) == pytest.approx(chemicals.MW(cas), rel=1e-4), row["name"]


def test_the_work_grows_with_the_number_of_estimates():
    """Ten times as many are ten times the work: a square would be a hundred."""
    many = [replace(CASE, challenge_ppm=300.0 + 0.1 * step) for step in range(1000)]
    assert service_lives(many)[:100] == service_lives(many[:100])
    assert calls_in(lambda: service_lives(many)) < 11 * calls_in(lambda: service_lives(many[:100]))


@published("U.S. Standard Atmosphere 1976: pressures by height, as a public table has them in psi")
@pytest.mark.parametrize(
    ("feet", "psi"),
    [(-5000, "17.554"), (0, "14.696"), (5000, "12.228"), (10000, "10.108"), (15000, "8.297"), (20000, "6.759")],
)
def test_the_standard_atmosphere(feet: int, psi: str) -> None:
    assert standard_pressure_kpa(feet * 0.3048) / 6.894757 == printed(psi)


@pytest.mark.parametrize("height_m", [11000.1, -5000.1, float("nan"), float("inf")])
def test_no_pressure_where_nobody_works(height_m: float) -> None:
    with pytest.raises(DomainError):
        standard_pressure_kpa(height_m)
