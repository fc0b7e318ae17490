//! One kit at three revisions: the lantern of Skerry Light alone, 1.0.0, 1.1.0 and 2.0.0; all of it is invented.
//!
//! What changes from one to the next is said once, in [`parts`]:
//!
//! | part | 1.0.0 to 1.1.0 | 1.1.0 to 2.0.0 |
//! |---|---|---|
//! | tower-top | its triangles in another order | and back |
//! | gallery | as it was | its seat on the tower is 0.13 mm wider a side |
//! | railing | moved in its file, its pose with it | as it was, but glued to the gallery |
//! | lantern-frame | ventilators through the drum | as it was |
//! | pane | stiffened by a rib away from its grooves | as it was |
//! | roof | the same faces in four times the triangles | as it was |
//! | vent-ball | as it was | named `finial`; the manifest does not say so |
//! | railing-jig | named `setting-jig`; `was` says so | retired |
//! | lamp-stand | new, its column so thin that a check warns | a thicker column, away from all else |

mod shapes;

use crate::light::{HEADER, door, lantern};
use crate::surface::Surface;
use crate::write::stl;
use crate::{DemoError, KitFile};

/// A revision of the kit, in the order of publishing.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Revision {
    First,
    Second,
    Third,
}

use Revision::{First, Second, Third};

impl Revision {
    /// The folder and the kit's revision.
    fn names(self) -> (&'static str, &'static str) {
        match self {
            First => ("1.0", "1.0.0"),
            Second => ("1.1", "1.1.0"),
            Third => ("2.0", "2.0.0"),
        }
    }
}

/// A printed part of one revision.
struct Part {
    id: &'static str,
    /// The part's lines in the manifest, after its id and mesh.
    lines: String,
    /// The lines of its pose; none for a tool.
    pose: Option<String>,
    surface: Surface,
}

fn part(id: &'static str, lines: &str, pose: &str, surface: Surface) -> Part {
    Part {
        id,
        lines: lines.to_string(),
        pose: Some(pose.to_string()),
        surface,
    }
}

/// Eight copies about the tower's axis.
const AROUND: &str = "repeat = { count = 8, about = [0, 0, 1], through = [0, 0, 0] }\n";

/// The parts of a revision.
fn parts(revision: Revision) -> Result<Vec<Part>, DemoError> {
    let rev = |from: Revision| {
        if revision >= from { "rev = 2\n" } else { "" }
    };
    let mut tower = shapes::tower_top().mesh("tower-top")?;
    if revision == Second {
        tower.triangles.reverse();
    }
    let mut parts = vec![part(
        "tower-top",
        "color = \"white\"\nup = \"+z\"\n",
        "",
        tower,
    )];

    // Both seats lie within the fit's gap of 0.15 to 0.35 mm a side; the wider one is over half of it away.
    let gap = if revision == Third { 0.34 } else { 0.21 };
    parts.push(part(
        "gallery",
        &format!("color = \"granite grey\"\nup = \"-z\"\n{}", rev(Third)),
        "move = [0, 0, 24]\n",
        shapes::gallery(gap).mesh("gallery")?,
    ));

    let railing = door::railing().mesh("railing")?;
    let (by, at) = if revision == First {
        ([0.0; 3], "[0, -39.3, 38]")
    } else {
        // The pose's turn takes y to z: what the mesh is moved by, the pose takes back.
        ([20.0, 30.0, 0.0], "[-20, -39.3, 8]")
    };
    parts.push(part(
        "railing",
        "color = \"signal red\"\ncount = 8\nspare = 1\nup = \"+z\"\n",
        &format!("turn = [90, 0, 0]\nmove = {at}\n{AROUND}"),
        railing.moved(by),
    ));

    parts.push(part(
        "lantern-frame",
        &format!(
            "color = \"signal red\"\nsettings = \"fine\"\nup = \"+z\"\n{}",
            rev(Second)
        ),
        "move = [0, 0, 38]\n",
        lantern::posts(revision >= Second).mesh("lantern-frame")?,
    ));

    let pane = if revision == First {
        lantern::sheet()
    } else {
        shapes::ribbed_pane()
    };
    parts.push(part(
        "pane",
        &format!(
            "material = \"petg\"\ncolor = \"clear\"\nsettings = \"panes\"\ncount = 8\nspare = 1\nup = \"+z\"\n{}",
            rev(Second)
        ),
        &format!("move = [0, -25, 50]\n{AROUND}"),
        pane.mesh("pane")?,
    ));

    let roof = lantern::roof(shapes::SMALL).mesh("roof")?;
    parts.push(part(
        "roof",
        "color = \"signal red\"\nup = \"+z\"\n",
        "move = [0, 0, 87.4]\n",
        if revision == First {
            roof
        } else {
            roof.halved()
        },
    ));

    parts.push(part(
        if revision == Third {
            "finial"
        } else {
            "vent-ball"
        },
        "color = \"signal red\"\nsettings = \"finial\"\nup = \"+z\"\n",
        "move = [0, 0, 119.35]\n",
        lantern::ball(shapes::SMALL).mesh("vent-ball")?,
    ));

    if revision != Third {
        let (id, was) = match revision {
            First => ("railing-jig", ""),
            _ => ("setting-jig", "was = \"railing-jig\"\n"),
        };
        parts.push(Part {
            id,
            lines: format!("color = \"any\"\nup = \"+z\"\n{was}"),
            pose: None,
            surface: door::railing_jig().mesh("railing-jig")?,
        });
    }

    if revision >= Second {
        // A wall of 0.7 mm, less than two lines of a 0.4 nozzle: a check warns of it.
        let column = if revision == Third { 4.7 } else { 3.4 };
        parts.push(part(
            "lamp-stand",
            &format!(
                "material = \"petg\"\ncolor = \"black\"\nup = \"+z\"\n{}",
                rev(Third)
            ),
            "move = [0, 0, 38]\n",
            shapes::lamp_stand(column).mesh("lamp-stand")?,
        ));
    }
    Ok(parts)
}

/// What the designer says about the changed parts.
fn changes(revision: Revision) -> &'static [(&'static str, &'static str)] {
    match revision {
        First => &[],
        Second => &[
            (
                "lantern-frame",
                "Ventilators through the drum, so that a warm lamp does not fog the panes",
            ),
            (
                "pane",
                "A rib inside, so that the sheet stands while it prints",
            ),
        ],
        Third => &[
            (
                "gallery",
                "The seat on the tower is 0.13 mm wider a side: the old one was tight over a coat of paint",
            ),
            (
                "lamp-stand",
                "A thicker column: the old one split when a lamp was pushed in",
            ),
        ],
    }
}

/// The text of a revision's manifest.
fn manifest(revision: Revision, parts: &[Part]) -> String {
    let (_, number) = revision.names();
    let mut text = include_str!("revisions/head.toml").replace("REVISION", number);
    for p in parts {
        let (id, lines) = (p.id, &p.lines);
        text += &format!("\n[[part]]\nid = \"{id}\"\nmesh = \"meshes/{id}.stl\"\n{lines}");
    }
    for p in parts {
        if let Some(pose) = &p.pose {
            text += &format!("\n[[pose]]\npart = \"{}\"\n{pose}", p.id);
        }
    }
    let ball = if revision == Third {
        "finial"
    } else {
        "vent-ball"
    };
    text += &include_str!("revisions/fits.toml").replace("BALL", ball);
    for (part, said) in changes(revision) {
        text += &format!("\n[[change]]\npart = \"{part}\"\ntext = \"{said}\"\n");
    }
    text
}

/// Every file of kits/revisions.
///
/// # Errors
/// [`DemoError`] for the first part that could not be built as a sound solid.
pub fn files() -> Result<Vec<KitFile>, DemoError> {
    let mut files = Vec::new();
    for revision in [First, Second, Third] {
        let (folder, _) = revision.names();
        let at = |name: &str| format!("revisions/skerry-light/{folder}/{name}");
        let parts = parts(revision)?;
        let text = manifest(revision, &parts);
        files.push((at("kit.toml"), text.into_bytes()));
        for p in &parts {
            let path = at(&format!("meshes/{}.stl", p.id));
            files.push((path, stl(HEADER, &p.surface)));
        }
    }
    Ok(files)
}
