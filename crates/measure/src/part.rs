//! Everything measured on one part.

/// Everything measured on one part. A fact that is `None` was not measured, and never reads as a pass.
#[derive(Debug, Default)]
pub struct PartFacts {
    /// The part's id in the manifest.
    pub id: String,
    /// The words of the panic that ended the measuring of this part, if one did.
    pub panicked: Option<String>,
}
