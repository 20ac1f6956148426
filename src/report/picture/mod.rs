//! Pictures: SVG, PNG, and a compact plot of plain characters.
//!
//! In: plain data (`data`), filled by whoever has an answer to show. Out: text or bytes, the same
//! for the same input on every machine. Refuses to know where the numbers come from.

pub mod data;

pub mod palette;

pub mod lettering;

pub mod canvas;

pub mod png;
