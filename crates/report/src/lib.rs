//! Views of a finished verdict: terminal text, JSON, HTML. They decide nothing.
