//! Proofs over the whole feasible set: no recipe is better, or there is none.

pub mod interval;

pub mod jet;

mod thickening;

pub mod estimate;

pub mod index_edge;

pub mod relax;

pub mod memory;

mod outline;

mod product;

pub mod shrink;

pub mod tree;

mod relaxation;

mod attempt;

mod branch;

mod root;
