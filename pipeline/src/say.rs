//! Where text goes: data to stdout, talk to stderr. Only `main` prints; everything else says.

/// Where text goes.
pub trait Said: Send {
    /// Data: what the verb was asked for.
    fn data(&mut self, text: &str);
    /// A fault that ends the verb, or one kit of it.
    fn fault(&mut self, text: &str);
    /// A word on the side: a file that was written.
    fn talk(&mut self, text: &str);
}
