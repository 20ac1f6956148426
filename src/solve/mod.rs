//! The search: from a checked problem to a recipe that meets every limit, or the reason why not.

pub mod answer;
