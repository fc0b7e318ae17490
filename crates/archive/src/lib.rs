//! Deterministic zip, 3MF, STL and preview writing, checksums, and the check of a received bundle.
