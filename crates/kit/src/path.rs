//! Paths in a manifest: relative, forward slashes, within the kit's folder. Checked as text, on no disk.

use crate::faults::Trouble;

/// The endings of meshes that can be read.
pub(crate) const MESH_ENDINGS: [&str; 4] = ["stl", "3mf", "obj", "ply"];

/// Checks a path.
pub(crate) fn check(path: &str) -> Result<(), Trouble> {
    let expected = "a path within the kit's folder, such as meshes/gallery.stl";
    let wrong = |message: &str| Err(Trouble::new(message).expected(expected));
    let bytes = path.as_bytes();
    if path.trim().is_empty() {
        return wrong("the path is empty");
    }
    if path.chars().any(char::is_control) {
        return wrong("the path holds a control character");
    }
    if path.contains("://") {
        return wrong("a path is no address: files of a kit lie in its folder");
    }
    if bytes.len() >= 2 && bytes[0].is_ascii_alphabetic() && bytes[1] == b':' {
        return wrong("the path names a drive: it would lead out of the kit's folder");
    }
    if path.contains('\\') {
        let plain = path.replace('\\', "/");
        return Err(Trouble::new("the path has backslashes")
            .expected("forward slashes")
            .help(format!("write `{plain}`")));
    }
    if path.starts_with('/') {
        return wrong("the path is absolute: it would lead out of the kit's folder");
    }
    let steps: Vec<&str> = path.split('/').collect();
    if steps.contains(&"..") {
        return Err(Trouble::new("`..` would lead out of the kit's folder")
            .expected(expected)
            .help("move the file into the kit's folder"));
    }
    if steps.iter().any(|step| step.is_empty() || *step == ".") {
        let plain: Vec<&str> = steps
            .into_iter()
            .filter(|step| !step.is_empty() && *step != ".")
            .collect();
        let trouble = Trouble::new("the path has steps that lead nowhere").expected(expected);
        return Err(if plain.is_empty() {
            trouble
        } else {
            trouble.help(format!("write `{}`", plain.join("/")))
        });
    }
    Ok(())
}

/// The ending of a path, lower case, without its dot.
pub(crate) fn ending(path: &str) -> Option<String> {
    let name = path.rsplit('/').next()?;
    let (stem, ending) = name.rsplit_once('.')?;
    (!stem.is_empty()).then(|| ending.to_lowercase())
}

/// Checks that a path ends as a mesh does.
pub(crate) fn check_mesh(path: &str) -> Result<(), Trouble> {
    check(path)?;
    match ending(path) {
        Some(ending) if MESH_ENDINGS.contains(&ending.as_str()) => Ok(()),
        _ => {
            let trouble = Trouble::new("this is no mesh that can be read")
                .expected(".stl, .3mf, .obj or .ply");
            Err(match ending(path).as_deref() {
                Some("step" | "stp" | "iges" | "igs") => {
                    trouble.help("export a mesh, and name the CAD file under `source`")
                }
                _ => trouble,
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_stay_in_the_folder() {
        for good in [
            "a.stl",
            "meshes/a b (2).stl",
            "ü/…/x.3mf",
            "a..b/c.stl",
            "..a/b.stl",
            "~/x.stl",
        ] {
            assert_eq!(check(good), Ok(()), "{good}");
        }
        for bad in [
            "",
            " ",
            "/a.stl",
            "//host/a.stl",
            "../a.stl",
            "a/../../b.stl",
            "a/..",
            "C:/a.stl",
            "c:a.stl",
            "a\\b.stl",
            "..\\a.stl",
            "a//b.stl",
            "./a.stl",
            "a/",
            "a\0b.stl",
            "a\nb",
            "https://x/a.stl",
            ".",
            "/",
        ] {
            assert!(check(bad).is_err(), "{bad}");
        }
        assert_eq!(
            check("./a//b.stl").expect_err("dots").help.as_deref(),
            Some("write `a/b.stl`")
        );
    }

    #[test]
    fn meshes_have_one_of_four_endings() {
        for good in ["a.stl", "a.STL", "x/b.3mf", "c.obj", "d.Ply"] {
            assert_eq!(check_mesh(good), Ok(()), "{good}");
        }
        for bad in ["a", "a.step", ".stl", "stl", "a.stl.zip", "a.stl/b"] {
            assert!(check_mesh(bad).is_err(), "{bad}");
        }
    }
}
