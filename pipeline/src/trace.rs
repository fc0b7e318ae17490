//! Tracing set-up: spans per stage and part go to stderr, never into a product.

use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt::format::FmtSpan;

/// Starts tracing to stderr where a filter is given (`--log stage=debug`); each span prints its time at its end.
///
/// # Errors
/// The filter's fault in words.
pub fn start(filter: Option<&str>, color: bool) -> Result<(), String> {
    let Some(filter) = filter else {
        return Ok(());
    };
    let parsed = EnvFilter::try_new(filter).map_err(|e| {
        format!("--log {filter}: {e}; write for example --log debug or --log pipeline=trace")
    })?;
    tracing_subscriber::fmt()
        .with_env_filter(parsed)
        .with_span_events(FmtSpan::CLOSE)
        .with_writer(std::io::stderr)
        .with_ansi(color)
        .with_target(false)
        .try_init()
        .map_err(|e| format!("tracing could not be started: {e}"))
}
