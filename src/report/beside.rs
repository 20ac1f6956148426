//! What is told beside an answer where it is asked for or known: reasons, and where properties come from.

use crate::explain::contribution::Origins;
use crate::explain::why::Why;

/// Additions to an answer; none by default.
#[derive(Debug, Clone, Copy, Default)]
pub struct Beside<'a> {
    /// What the limits cost.
    pub why: Option<&'a Why>,
    /// Where properties come from.
    pub origins: Option<&'a Origins>,
}
