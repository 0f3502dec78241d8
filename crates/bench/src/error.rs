//! Why something could not be measured or exercised.

/// Why something could not be measured or exercised. Sizes are in bytes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BenchError {
    #[error("the kernel gave no memory of {bytes} bytes: {why}")]
    Map { bytes: usize, why: String },
    #[error(
        "{asked} MiB are asked for, but only {most} MiB can be taken: {available} MiB are available and {reserve} MiB stay free"
    )]
    Reserve { asked: u64, most: u64, available: u64, reserve: u64 },
    #[error("what is free can't be read from /proc/meminfo")]
    NoMeminfo,
    #[error("no processor can be used")]
    NoProcessor,
    #[error("a worker could not be started: {0}")]
    Worker(String),
}

impl BenchError {
    /// What to do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::Map { .. } => "give a smaller share, or end other programs first".to_string(),
            Self::Reserve { most, .. } => format!("ask for {most} MiB or less"),
            Self::NoMeminfo => "give the size, and see that /proc is mounted".to_string(),
            Self::NoProcessor => {
                "see which processors this program may use (its affinity, its control group)".to_string()
            }
            Self::Worker(_) => "see how many threads this user may start".to_string(),
        }
    }
}
