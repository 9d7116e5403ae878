"""What headings of people's own spreadsheets may mean: common practice, no source. A guess is proposed, never used."""

from __future__ import annotations

import re

from progdoc.model.people_table.people_columns import ALSO_CALLED, RowKind, columns_of

__all__ = ["HEADINGS", "asks_of_health", "heading", "is_of_health", "proposed"]

# Questions about health and their answers, whatever a column file says of the column.
_ANSWERS = re.compile(
    r"diagnos|illness|disease|symptom|medication|allerg|asthma|blood|lung|heart|questionnaire|pregnan|diabet|epilep"
    r"|claustro|smok(?:er|es|ing)|seizure|prescription_drug|doctor_s_notes|condition_of_health|health_(?:answer|history)"
)
# Beside these whatever else names medicine and is no column of ours.
_OF_MEDICINE = re.compile(r"medical|health")

_PERSON = {
    "id": "employee_no employee_number employee_code emp emp_id emp_no emp_number badge badge_no badge_number"
    " payroll_no payroll_number staff_no staff_id staff_number personnel_no personnel_number worker_id worker_no"
    " clock_no",
    "name": "employee worker worker_name wearer wearer_name staff_member staff_name person person_name"
    " first_and_last_name last_first last_name_first_name name_of_employee name_of_worker",
}
_FIT = {
    "fit_date": "fit_test fit_tested fit_tested_on last_fit_test last_fit date_of_fit_test date_fit_tested fit_test_day"
    " qlft_date qnft_date tested_on date_tested test_date",
    "fit_mask": "respirator_tested mask_tested facepiece_tested tested_respirator tested_mask fit_respirator",
    "fit_size": "size_tested tested_size",
    "fit_protocol": "fit_type fit_method fit_agent test_type test_method test_protocol test_agent method_of_fit_test"
    " qlft_qnft type_of_test",
    "fit_tester": "tested_by tester test_conductor fit_by fit_tested_by conducted_by administered_by"
    " test_administrator",
    "fit_result": "result results pass_fail fit_pass_fail p_f outcome fit_outcome",
    "fit_factor": "overall_fit_factor overall_ff ff",
    "fit_filters": "filter filters filter_class",
}
_TRAINING = {
    "training_date": "training trained trained_on date_trained last_training last_trained date_of_training class_date",
    "training_by": "trainer trained_by instructor taught_by",
    "training_topics": "topic topics topics_covered subjects subject contents",
    "training_language": "language language_of_training",
    "training_knowledge_shown": "quiz quiz_passed training_test_passed understanding_shown",
}
_SYNONYMS: dict[RowKind, dict[str, str]] = {
    RowKind.PEOPLE: {
        **_PERSON,
        **_FIT,
        **_TRAINING,
        "job": "position trade occupation craft role title work_title function",
        "mask": "respirator respirator_type mask_type type_of_respirator type_of_mask facepiece respirator_model"
        " respirator_issued mask_issued",
        "size": "mask_size respirator_size facepiece_size size_worn",
        "medical_date": "medical_clearance_date clearance_date medical_clearance_on medical_clearance cleared_on"
        " date_of_medical_clearance medical_evaluation_date medical_eval_date medical_eval date_of_clearance",
        "medical_recommendation": "clearance clearance_status medical_status cleared medically_cleared"
        " medical_clearance_status plhcp_recommendation",
        "medical_limits": "restrictions limitations clearance_limits",
        "medical_next_review": "next_medical_review next_review_by_plhcp next_medical_evaluation",
        "spectacles": "glasses corrective_lenses wears_glasses eyeglasses",
        "hair_rule_accepted": "facial_hair_policy_signed shaving_policy_signed beard_policy_signed",
        "clean_shaven": "shaved shaven beard_free",
        "appendix_d_date": "appendix_d appendix_d_given voluntary_use_information_given",
    },
    RowKind.FIT_TESTS: {
        **_PERSON,
        **_FIT,
        "fit_mask": f"{_FIT['fit_mask']} respirator respirator_type respirator_model facepiece mask_type",
        "fit_size": f"{_FIT['fit_size']} mask_size respirator_size facepiece_size",
        "fit_protocol": f"{_FIT['fit_protocol']} method type agent",
        "fit_tester": f"{_FIT['fit_tester']} by operator",
    },
    RowKind.TRAINING: {**_PERSON, **_TRAINING},
    RowKind.UNITS: {
        "id": "unit unit_no unit_number asset asset_no asset_tag tag tag_no device device_id inventory_no"
        " inventory_number equipment_no equipment_id",
        "mask": "respirator type model kind device_type mask_type",
        "serial": "serial_no serial_number s_n sn",
        "place": "location post vehicle station stored_at kept_at where",
        "inspection_date": "inspected inspected_on last_inspection last_inspected date_of_inspection",
        "inspection_by": "inspected_by inspector",
        "inspection_result": "condition status result",
        "cylinder_id": "cylinder cylinder_no cylinder_number bottle bottle_no bottle_number",
        "cylinder_serial": "cylinder_serial_no cylinder_serial_number bottle_serial",
        "cylinder_requalified": "hydro hydro_date hydro_test hydro_test_date hydrostatic_test hydrostatic_test_date"
        " last_hydro last_hydrostatic_test requalified",
        "cylinder_requalify_by": "hydro_due next_hydro next_hydrostatic_test hydro_test_due requalify_by hydro_expires",
    },
    RowKind.CYLINDERS: {
        "id": "cylinder cylinder_id cylinder_no cylinder_number bottle bottle_no bottle_number asset_no asset_tag",
        "serial": "serial_no serial_number s_n sn cylinder_serial bottle_serial",
        "place": "location stored_at kept_at where",
        "requalified": "hydro hydro_date hydro_test hydro_test_date hydrostatic_test hydrostatic_test_date last_hydro"
        " last_hydrostatic_test",
        "requalify_by": "hydro_due next_hydro next_hydrostatic_test hydro_test_due hydro_expires",
    },
}
_MEANS = {
    rows: {word: column for column, words in synonyms.items() for word in words.split()}
    for rows, synonyms in _SYNONYMS.items()
}

# However the columns of any table may be headed.
HEADINGS = frozenset(
    name.replace("_", mark)
    for name in (*ALSO_CALLED, *(column for rows in RowKind for column in columns_of(rows)))
    for mark in ("_", " ", "-")
)


def heading(text: str) -> str:
    """Return a heading as the columns are spelt.

    >>> heading("Fit test date"), heading("Employee ID"), heading("Lens-kit ")
    ('fit_date', 'id', 'lens_kit')
    """
    name = re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")
    name = re.sub(r"^fit_test_", "fit_", name)
    return ALSO_CALLED.get(name, name)


def proposed(text: str, rows: RowKind) -> str:
    """Return the column that a heading probably means; "" where nothing is near.

    >>> [proposed(text, RowKind.PEOPLE) for text in ("Date Fit-tested", "Employee #", "Employee", "Locker")]
    ['fit_date', 'id', 'name', '']
    """
    plain = re.sub(r"[^a-z0-9]+", "_", text.lower().replace("#", " no ")).strip("_")
    means = _MEANS[rows]
    return means.get(plain) or means.get(heading(text), "")


def asks_of_health(text: str) -> bool:
    """Whether a heading names an illness, its treatment, or questions about health."""
    return _ANSWERS.search(re.sub(r"[^a-z0-9]+", "_", text.lower())) is not None


def is_of_health(text: str) -> bool:
    """Whether a heading that is no column of ours seems to hold more of somebody's health than may stand here."""
    return asks_of_health(text) or _OF_MEDICINE.search(text.lower()) is not None
