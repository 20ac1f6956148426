//! The search: from a checked problem to a recipe that meets every limit, or the reason why not.
//!
//! In: a checked problem. Out: an [`answer::Answer`]. Refuses to know how answers are worded.

pub mod answer;

pub mod program;

pub mod simplex;

pub mod backend;

pub mod dual;

pub mod linear;

pub mod logic;

pub mod task;

pub mod compile;

pub mod polish;

pub mod refine;

pub mod start;

pub mod prove;

pub mod grid;

pub mod filter;

pub mod possible;

pub mod conflict;

pub mod follow;

pub mod search;

pub mod spot;

pub mod alternatives;
