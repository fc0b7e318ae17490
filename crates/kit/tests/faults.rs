//! Every fault of a bad manifest at once, each kind of fault by itself, and that nothing makes the reader fall.

use kit::{read, render};

/// Rules that the manifests here may name.
const RULES: &[&str] = &["wall.lost", "wall.thin", "mesh.open-edge"];

fn faults(text: &str) -> String {
    match read(text, "kit.toml", RULES) {
        Ok(_) => "no fault\n".to_string(),
        Err(faults) => render(&faults, text, false),
    }
}

#[test]
fn a_bad_manifest_is_told_everything_at_once() {
    insta::assert_snapshot!(faults(include_str!("manifests/bad.toml")));
}

#[test]
fn a_text_that_is_no_toml_is_told_every_place_of_it() {
    insta::assert_snapshot!(faults(include_str!("manifests/broken.toml")));
}

#[test]
fn what_a_key_written_twice_does_not_touch_is_still_checked() {
    insta::assert_snapshot!(faults(include_str!("manifests/twice.toml")));
}

/// One change to a good manifest, and what must be said of it: line and words.
const ONE_BY_ONE: &[(&str, &str, usize, &str)] = &[
    ("format   = 1 ", "format   = 2 ", 8, "format 2"),
    ("format   = 1 ", "format   = 0 ", 8, "`format` is 0"),
    (
        "rule-set = \"2026.1\"",
        "rule-set = 2026.1",
        9,
        "`rule-set` is a number",
    ),
    (
        "title    = \"Harbour Shed 1:87\"\n",
        "",
        11,
        "[kit] has no `title`",
    ),
    ("\"0.1.0\"", "\"v0.1\"", 14, "`v0.1` is no revision"),
    (
        "LicenseRef-undecided",
        "CC-BY-NC",
        16,
        "no SPDX licence expression",
    ),
    ("LicenseRef-undecided", "", 16, "the licence is empty"),
    ("\"1:87\"", "\"87\"", 17, "`87` is no scale"),
    (
        "\"listed\"",
        "\"as-modeled\"",
        18,
        "`poses` is `as-modeled`",
    ),
    (
        "id          = \"common\"",
        "id          = \"small-vat\"",
        33,
        "declared twice",
    ),
    (
        "id          = \"common\"",
        "id          = \"Small_Vat\"",
        33,
        "share one file name",
    ),
    (
        "kind        = \"filament\"",
        "kind        = \"laser\"",
        24,
        "`kind` is `laser`",
    ),
    (
        "nozzle      = 0.4",
        "nozzle      = 0.04",
        27,
        "`nozzle` is 0.04",
    ),
    (
        "nozzle      = 0.4",
        "nozzle      = 0.2",
        28,
        "a layer of 0.28 mm from a nozzle of 0.2 mm",
    ),
    (
        "nozzle      = 0.4",
        "nozzle      = -inf",
        27,
        "`nozzle` is -inf",
    ),
    (
        "nozzle      = 0.4",
        "nozzle      = 1e999",
        27,
        "`nozzle` is inf",
    ),
    ("[220, 220, 240]", "[220, 0, 240]", 25, "`plate` is 0"),
    (
        "edge-margin = 0",
        "edge-margin = 101",
        26,
        "`edge-margin` is 101",
    ),
    (
        "[\"pla\", \"petg\"]",
        "[]",
        29,
        "`materials` is an empty list",
    ),
    (
        "[\"pla\", \"petg\"]",
        "[\"plastic\"]",
        29,
        "there is no material `plastic`",
    ),
    (
        "least-wall = 0.4",
        "nozzle = 0.4",
        32,
        "`least-wall`, which kind `vat` needs",
    ),
    (
        "layer    = 0.2 ",
        "layer    = 0.4 ",
        42,
        "a layer of 0.4 mm from a nozzle of 0.4 mm",
    ),
    (
        "contours = 3",
        "contours = 9223372036854775808",
        44,
        "`contours` is 9223372036854775808",
    ),
    ("fill     = 0.2", "fill     = 20", 47, "`fill` is 20"),
    (
        "units    = \"mm\"",
        "units    = \"furlong\"",
        63,
        "`units` is `furlong`",
    ),
    (
        "settings = \"body\"           ",
        "settings = \"corpus\"           ",
        65,
        "no settings table `corpus`",
    ),
    (
        "meshes/wall-left.stl",
        "meshes/../../wall-left.stl",
        69,
        "lead out of the kit's folder",
    ),
    (
        "meshes/wall-left.stl",
        "/meshes/wall-left.stl",
        69,
        "absolute",
    ),
    (
        "meshes/wall-left.stl",
        "D:meshes/wall-left.stl",
        69,
        "names a drive",
    ),
    (
        "meshes/wall-left.stl",
        "meshes\\\\wall-left.stl",
        69,
        "backslashes",
    ),
    (
        "meshes/wall-left.stl",
        "meshes/wall\\u0000left.stl",
        69,
        "control character",
    ),
    (
        "meshes/wall-left.stl",
        "meshes/wall-left.txt",
        69,
        "no mesh that can be read",
    ),
    (
        "up         = \"+z\"",
        "up         = \"up\"",
        79,
        "`up` is no axis",
    ),
    (
        "up         = \"+z\"",
        "up         = [0, 0, 0.0]",
        79,
        "`up` has no direction",
    ),
    (
        "up         = \"+z\"",
        "up         = [0, nan, 1]",
        79,
        "`up` is NaN",
    ),
    ("count      = 2", "count      = -2", 76, "`count` is -2"),
    ("count      = 2", "count      = 2.0", 76, "`count` is 2.0"),
    (
        "count      = 2",
        "count      = \"2\"",
        76,
        "`count` is text",
    ),
    (
        "rules.\"wall.thin\"",
        "rules.\"wall.tin\"",
        84,
        "there is no rule `wall.tin`",
    ),
    (
        "rules.\"wall.thin\"",
        "rules.wall.thin",
        84,
        "its dot needs quotes",
    ),
    (
        "mirror-of = \"wall-left\"",
        "mirror-of = \"wall-right\"",
        90,
        "cannot mirror itself",
    ),
    (
        "mirror    = \"x\" ",
        "mirror    = \"w\" ",
        91,
        "`mirror` is `w`",
    ),
    (
        "turn   = [180, 0, 0]",
        "turn   = [180, 0]",
        98,
        "`turn` is a list of 2",
    ),
    ("cone = 60", "cone = 200", 99, "`cone` is 200"),
    (
        "mesh   = \"meshes/roof.3mf\"",
        "mesh   = \"meshes/roof.stl\"",
        97,
        "only a 3MF has named objects",
    ),
    (
        "part   = \"wall-left\"\nturn",
        "part   = \"wall\"\nturn",
        103,
        "no part or reference `wall`",
    ),
    (
        "id    = \"lamp\"",
        "id    = \"roof\"",
        110,
        "the id of a part too",
    ),
    (
        "until-revision = \"1.0.0\"",
        "until = 2027-01-31T10:00:00Z",
        132,
        "no day of the calendar",
    ),
    (
        "until-revision = \"1.0.0\"",
        "until = \"soon\"",
        132,
        "no day of the calendar",
    ),
    (
        "The drip edge is thin on purpose; printed on three machines",
        "tbd",
        131,
        "placeholder",
    ),
    (
        "places         = 1",
        "places         = 0",
        130,
        "`places` is 0",
    ),
    ("[[file]]", "[file]", 116, "single brackets"),
    ("[kit]", "[[kit]]", 11, "there is one `kit` only"),
    ("[settings.body]", "[[settings]]", 40, "double brackets"),
    ("[extra]", "[extras]", 140, "no key `extras`"),
];

#[test]
fn each_kind_of_fault_is_found_where_it_stands() {
    for (good, bad, line, words) in ONE_BY_ONE {
        assert!(
            kit::template().contains(good),
            "the template no longer has {good}"
        );
        let text = kit::template().replacen(good, bad, 1);
        let found = read(&text, "kit.toml", RULES).err().unwrap_or_default();
        let hit = found
            .iter()
            .any(|fault| fault.message.contains(words) && fault.line == *line);
        assert!(
            hit,
            "{bad}: expected `{words}` on line {line}, found\n{}",
            render(&found, &text, false)
        );
    }
}

#[test]
fn a_text_too_long_to_be_a_manifest_is_refused_at_once() {
    let parts = "[[part]]\nid=\"a\"\nmesh=\"a.stl\"\n".repeat(4_000_000);
    let found = read(&parts, "kit.toml", RULES).expect_err("100 MB");
    assert!(found[0].message.contains("bytes"), "{found:?}");
}

#[test]
fn many_faults_are_cut_and_counted() {
    let parts = "[[part]]\nid=\"a\"\nmesh=\"a.stl\"\nmaterial=\"plaaa\"\n".repeat(9_999);
    let found = read(&parts, "kit.toml", RULES).expect_err("thousands of faults");
    assert_eq!(found.len(), 101);
    assert!(found[100].message.starts_with("and "), "{}", found[100]);
    let parts = "[[part]]\n".repeat(10_001);
    let found = read(&parts, "kit.toml", RULES).expect_err("too many parts");
    assert!(
        found
            .iter()
            .any(|f| f.message == "`part` has 10001 entries"),
        "{}",
        found[0]
    );
}

#[test]
fn deep_nesting_and_long_lines_are_refused_without_a_fall() {
    for text in [
        "x = ".to_string() + &"[".repeat(1_000_000),
        "x = ".to_string() + &"{a=".repeat(500_000),
        "a.".repeat(1_000_000) + "b = 1",
        "[".to_string() + &"a.".repeat(1_000_000) + "b]",
        "extra = ".to_string() + &"[".repeat(70) + &"]".repeat(70),
        "\"".repeat(1_000_000),
        "title = \"".to_string() + &"x".repeat(1_000_000) + "\"",
        "\u{feff}format = 1".to_string(),
        "format = 1\r\nrule-set = \"2026.1\"\r\n".to_string(),
        "\0".to_string(),
        String::new(),
    ] {
        let found = read(&text, "kit.toml", RULES).expect_err("no manifest");
        assert!(!found.is_empty());
        let shown = render(&found, &text, true);
        assert!(shown.len() < 400_000, "{} bytes of faults", shown.len());
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_place() {
    let found = kit::read_bytes(b"format = 1\ntitle = \"\xff\"\n", "kit.toml", RULES)
        .expect_err("no UTF-8");
    assert_eq!((found[0].line, found[0].column), (2, 10));
}
