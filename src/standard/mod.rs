//! Published tables and formulas, one file each, with source and edition.
//!
//! In: plain numbers in the standard's own units. Out: the standard's answer. Refuses to know what
//! a blend is.

pub mod element;

pub mod temperature;

pub mod blending_number;

pub mod viscosity_index;

pub mod flash;

pub mod ash;

pub mod normal;

pub mod precision;

pub mod sae_j300;

pub mod sae_j306;

pub mod iso_vg;

pub mod grade;

pub mod classes;
