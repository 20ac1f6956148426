//! Fractions in, properties out; pure.
//!
//! In: a checked problem and a recipe. Out: every property with its uncertainty, its exact slopes,
//! and each limit judged. Refuses to know how a recipe is searched for.

pub mod link;

pub mod formula;

pub mod figures;

pub mod total;

pub mod model;

pub mod exact;

pub mod book;

pub mod value;

pub mod warnings;

pub mod nudge;

pub mod spread;

pub mod logic;

pub mod judge;

pub mod glance;

pub mod cause;

pub mod factor;

pub mod draw;

pub mod chance;

pub mod room;

pub mod scatter;
