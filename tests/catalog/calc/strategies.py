"""Hypothesis strategies for tubes, stresses and presses of believable size."""

from hypothesis import strategies as st

STRESSES_MPA = st.floats(1.0, 1000.0)
ODS_MM = st.floats(1.0, 1000.0)
THIN_RATIOS = st.floats(0.001, 0.166)  # t / D up to 1/6 = 0.1667, where Boardman's branch ends
RATIOS = st.floats(0.001, 0.49)
SCALES = st.floats(0.01, 100.0)
