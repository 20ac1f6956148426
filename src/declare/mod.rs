//! What the user wrote, checked.
//!
//! In: TOML text. Out: a [`problem::Problem`] in which every name is resolved and every number is
//! finite and in its property's unit, or every fault of the files at once. Refuses to know how a
//! property is predicted or a recipe found.

pub mod property;

pub mod component;

pub mod problem;

pub mod thickening;

pub mod recipe;

pub mod needs;

pub mod requirement;

pub mod windows;

pub mod dial;

pub mod stops;

pub mod read;
