//! Materials, settings and the limits of every rule: tables with sources, read into typed values.
