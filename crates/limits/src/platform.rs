//! What code hosts take and show of a check's results.

use crate::typed::typed;

typed!(
    /// Sizes by which views for a build server are cut.
    PlatformLimits, platform_limits, "platform.toml", {
    /// Results a SARIF run may hold.
    sarif_results: "sarif-results",
    /// Results of a SARIF run that a host keeps.
    sarif_results_kept: "sarif-results-kept",
    /// Rules a SARIF run may hold.
    sarif_rules: "sarif-rules",
    /// Locations of a SARIF result that a host shows.
    sarif_locations_shown: "sarif-locations-shown",
    /// Annotations of one type that are shown of a step.
    annotations_type: "annotations-type",
    /// Annotations that are shown of a job.
    annotations_job: "annotations-job",
    /// Bytes of a step's summary.
    summary_bytes: "summary-bytes",
    /// Characters of a comment.
    comment_characters: "comment-characters",
    /// Characters of one message.
    message_characters: "message-characters",
});
