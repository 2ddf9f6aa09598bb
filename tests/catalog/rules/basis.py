"""Tables of the rows that a finding rests on: whose numbers and words its message tells."""

from typing import Final

_BY_TABLES: Final = {
    "coatings": """
        tube.coating tube.coating-accepted
    """,
    "coatings fluids": """
        service.fluid-zinc
    """,
    "cones": """
        tooling.cone-od tooling.cone-series tooling.cone-family tooling.cone-check-overdue
        tooling.force-rating tooling.cone-family-mixed tooling.cone-check-due-in-batch
    """,
    "cut_methods": """
        preparation.cut-method
    """,
    "fluids": """
        service.fluid service.fluid-life
    """,
    "gauges": """
        gauge.above-span gauge.calibration-overdue press.reading-unit gauge.zero-unknown
        gauge.above-working-range gauge.calibration-due press.between-graduations
        gauge.calibration-due-soon
    """,
    "gauges presses": """
        press.relief-far-above-span press.relief-above-span gauge.protected
    """,
    "gauges presses targets": """
        press.no-pair
    """,
    "gauges targets": """
        gauge.too-coarse gauge.no-mark-in-window
    """,
    "inserts": """
        tube.wall-too-thin tube.insert-needed tube.insert-unknown tube.insert-not-called-for
    """,
    "materials": """
        tube.material-not-preset tube.too-hard tube.standard-contradiction
        fitting.ring-material service.temperature tube.size-not-listed tube.hardness-scale
        tube.quality-factor-missing service.no-fatigue-data service.no-strength-data
        tube.hardness-unjudged tube.bore-below-standard
    """,
    "materials tubes": """
        tube.yield-margin
    """,
    "neighbours tubes": """
        tube.near-size
    """,
    "plates": """
        tooling.plate-od tooling.plate-system
    """,
    "preparation": """
        preparation.out-of-square tube.bend-not-counted
    """,
    "presses": """
        press.too-small press.relief-setting press.too-little-oil gauge.not-for-press
        press.above-press-rating tooling.relief-above-force-rating
    """,
    "rings": """
        fitting.ring-contradiction service.over-seal-rating service.seal-temperature
        preparation.not-lubricated preparation.lubricated-elastomer fitting.ring-missing
        service.derating-unknown service.seal-range-unknown preparation.thread-dry
    """,
    "series": """
        fitting.no-such-size fitting.size-not-listed
    """,
    "sizes": """
        tube.straight-length service.over-fitting-rating fitting.rating-unknown
    """,
    "strengths": """
        tube.stress-above-strength service.over-tube-rating
    """,
    "strengths tubes": """
        tube.no-wall-carries
    """,
    "targets": """
        press.above-ceiling press.outside-window press.contact-too-easy
        press.contact-too-hard
    """,
    "tubes": """
        tube.od-out-of-tolerance tube.no-wall-left tube.near-size-ambiguous
        tube.caliper-too-coarse
    """,
}
BASIS: Final = {
    code: frozenset(tables.split())
    for tables, codes in _BY_TABLES.items()
    for code in codes.split()
}
"""Tables of which each of these findings names a row; it may name rows of others besides."""
