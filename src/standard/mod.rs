//! Published tables and formulas, one file each, with source and edition.
//!
//! In: plain numbers in the standard's own units. Out: the standard's answer. Refuses to know what
//! a blend is.

pub mod element;
