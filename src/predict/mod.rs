//! Fractions in, properties out; pure.
//!
//! In: a checked problem and a recipe. Out: every property with its uncertainty, its exact slopes,
//! and each limit judged. Refuses to know how a recipe is searched for.

pub mod value;
