//! Why: what holds a recipe and what each limit costs, where each property comes from, and why there
//! is no recipe.
//!
//! In: a problem and its answer. Out: reasons as data, in trade words: limits, bands, components and
//! rules, never rows or multipliers. Refuses to word them.

pub mod knob;

pub mod turn;

pub mod price;

pub mod purchase;

pub mod left_out;

pub mod why;

pub mod contribution;

pub mod lever;

pub mod remedy;

pub mod wanted;

pub mod conflict;
