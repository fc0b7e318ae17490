//! Generates everything under kits/: the demo kit and the smallest kits that raise each rule.
