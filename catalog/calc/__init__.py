"""The pure formulas: floats in and out, in mm, MPa, kN, mm2, mm3, degrees and kg/m."""
