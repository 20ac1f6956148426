//! The answer as a page of plain text, for a person at a bench.
//!
//! In: a problem and its answer. Out: the result in words, the recipe, the limits, what else was
//! predicted, what to be told. Refuses solver words.

pub mod headline;

pub mod recipe;

pub mod rules;

pub mod limits;

pub mod prices;

pub mod market;

pub mod properties;

pub mod bar;

pub mod contributions;

pub mod conflict;

pub mod notes;

pub mod chances;

pub mod confidence;

pub mod unsure;

pub mod alternatives;

pub mod answer;

pub mod columns;

pub mod reach;

pub mod changes;

pub mod compare;

pub mod remedies;

pub mod wanted;

pub mod refusal;

pub mod standing;

pub mod map;

pub mod sweep;

pub mod many;

pub mod frontier;

pub mod sensitivity;
