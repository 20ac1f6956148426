//! What is told beside an answer where it is asked for or known: reasons, where properties come from, and
//! how sure it is that limits pass.

use crate::explain::contribution::Origins;
use crate::explain::why::Why;
use crate::predict::chance::Chances;
use crate::study::confidence::Confident;

/// Additions to an answer; none by default.
#[derive(Debug, Clone, Copy, Default)]
pub struct Beside<'a> {
    /// What the limits cost.
    pub why: Option<&'a Why>,
    /// Where properties come from.
    pub origins: Option<&'a Origins>,
    /// How often one laboratory's tests pass, with the confidence that was asked for, where one was.
    pub chances: Option<(&'a Chances, Option<f64>)>,
    /// The answer with a confidence.
    pub confident: Option<&'a Confident>,
}
