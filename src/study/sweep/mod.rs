//! How recipe, cost and what binds move while one number of a problem moves, or two.
//!
//! In: a problem with its dials and their settings. Out: a row a point, in order, in whole chunks; for
//! one range also where something changes and where there is no recipe. Refuses to hold more rows than
//! it was asked to keep.

pub mod plan;

pub mod row;

pub mod run;

pub mod breaks;

pub mod kept;
