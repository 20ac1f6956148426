//! An inverse blend solver and recipe optimiser for engine oils.
//!
//! This file is the table of contents and the law: a module may use only modules declared above it
//! (`tests/layers.rs` enforces this).

pub mod quantity;

pub mod fault;

pub mod standard;

pub mod declare;

pub mod report;
