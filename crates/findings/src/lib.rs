//! The shape of a verdict: rule, level, place, measured value, finding, waiver.
