//! Answers as the data of pictures, worded: one file a study.

pub mod axes;

pub mod said;

pub mod map;

pub mod sweep;

pub mod frontier;

pub mod tornado;

pub mod chances;
