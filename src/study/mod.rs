//! Many solves: what a booster can reach, what a moved problem changes.
//!
//! In: problems. Out: their answers side by side, as data. Refuses to word them.
