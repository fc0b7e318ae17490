//! How parts meet: fits and holes.

/// How two parts meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FitKind {
    /// Held by interference.
    Press,
    /// No play, put together by hand.
    Snug,
    /// Slides without play to be felt.
    Slide,
    /// Turns or moves freely.
    Free,
    /// Glued for good.
    Glued,
    /// Springs over an edge.
    Snap,
    /// A soft part stretched over another.
    Stretch,
    /// Screwed together by printed threads.
    Thread,
}

impl FitKind {
    /// Every kind.
    pub const ALL: [FitKind; 8] = [
        FitKind::Press,
        FitKind::Snug,
        FitKind::Slide,
        FitKind::Free,
        FitKind::Glued,
        FitKind::Snap,
        FitKind::Stretch,
        FitKind::Thread,
    ];

    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            FitKind::Press => "press",
            FitKind::Snug => "snug",
            FitKind::Slide => "slide",
            FitKind::Free => "free",
            FitKind::Glued => "glued",
            FitKind::Snap => "snap",
            FitKind::Stretch => "stretch",
            FitKind::Thread => "thread",
        }
    }
}

/// How two parts meet, with a gap per side as modelled.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The fit's id.
    pub id: String,
    /// The two that meet: parts or references.
    pub parts: [String; 2],
    /// How.
    pub kind: FitKind,
    /// Least and greatest gap per side, mm; negative for interference.
    pub gap_mm: Option<[f64; 2]>,
    /// The way the first goes into the second, in the assembled kit, one long.
    pub insert: Option<[f64; 3]>,
    /// Whether paint is kept off.
    pub masked: bool,
    /// Line of the header in the manifest, from 1.
    pub line: usize,
}

/// What a hole is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HoleUse {
    /// A screw passes freely.
    Clear,
    /// A screw cuts its thread, or it is tapped.
    Thread,
    /// A threaded insert is set in.
    Insert,
    /// A nut lies in.
    Nut,
    /// A lamp is put in.
    Lamp,
    /// A pin or axle.
    Pin,
    /// A magnet is set in.
    Magnet,
    /// A bearing is pressed in.
    Bearing,
    /// A wire is led through.
    Wire,
}

impl HoleUse {
    /// Every use.
    pub const ALL: [HoleUse; 9] = [
        HoleUse::Clear,
        HoleUse::Thread,
        HoleUse::Insert,
        HoleUse::Nut,
        HoleUse::Lamp,
        HoleUse::Pin,
        HoleUse::Magnet,
        HoleUse::Bearing,
        HoleUse::Wire,
    ];

    /// The word in a manifest.
    pub fn word(self) -> &'static str {
        match self {
            HoleUse::Clear => "clear",
            HoleUse::Thread => "thread",
            HoleUse::Insert => "insert",
            HoleUse::Nut => "nut",
            HoleUse::Lamp => "lamp",
            HoleUse::Pin => "pin",
            HoleUse::Magnet => "magnet",
            HoleUse::Bearing => "bearing",
            HoleUse::Wire => "wire",
        }
    }
}

/// A hole in a part, and what goes in.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Id of the part.
    pub part: String,
    /// A point on its axis, mm, in the mesh's own frame.
    pub at: [f64; 3],
    /// Its axis, one long.
    pub axis: [f64; 3],
    /// What goes in.
    pub takes: Option<String>,
    /// What it is for.
    pub purpose: Option<HoleUse>,
    /// Line of the header in the manifest, from 1.
    pub line: usize,
}
