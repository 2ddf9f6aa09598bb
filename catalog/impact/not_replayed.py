"""What no question of an impact report reads, so that a change of it is told by the rows alone."""

from typing import Final

_COLUMNS: Final = {
    # Texts of documents and sizes; a grade is read.
    "sources": "title edition clause note errata",
    # Judged by a setup check alone, by what the bench measured and by the service of the line.
    # A rating is replayed at the usual proof factor alone, and the yield margin counts by another.
    "materials": """
        names condition yield_mpa tensile_mpa hardness_max hardness_scale seams
        temp_min_c temp_max_c
    """,
    "tubes": "od_tolerance_mm",
    # An od that neither revision has in a series is not asked about, so its list is not read whole.
    "series": """
        standard preset complete_from_od_mm complete_to_od_mm design_factor temp_min_c temp_max_c
    """,
    "sizes": """
        designation thread nut_hex_mm edition insertion_depth_mm seal_diameter_mm min_straight_mm
    """,
    "rings": """
        lubrication lubricate oil_thread hold_s seal_material seal_temp_min_c seal_temp_max_c fluids
    """,
    "gauges": "due_soon_days",
    # Whether a cone may touch a family is read, how often it may is not.
    "cones": """
        presses_between_checks_carbon_steel presses_between_checks_stainless_steel
        presses_between_checks_nickel_copper
    """,
    # Whether the oil is enough is read, how much it is and how often one pumps is not.
    "presses": "stroke_mm pump_full_stroke_cm3 pump_fine_stroke_cm3",
    # Numbers of a rating are compared, its cautions are not.
    "strengths": "yield_mpa allowable_mpa endurance_source source",
    "derating": "source",
}

NOT_REPLAYED: Final[tuple[str, ...]] = (
    "neighbours",
    "preparation",
    "cut_methods",
    "coatings",
    "fluids",
    "cautions",
    "cases",
    *(f"{table}.{column}" for table, columns in _COLUMNS.items() for column in columns.split()),
)
"""Tables, and columns as `table.column`, of which a change may show in nothing that is replayed."""
