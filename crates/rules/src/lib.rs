//! One file per rule: id, words, level, source and the judging function.
