//! An inverse blend solver and recipe optimiser for engine oils: from what the finished oil must be
//! and what stands on the shelf to the cheapest recipe, with a proof, or to the reason why there is
//! none.
//!
//! ```
//! use std::path::Path;
//! use treatrate::declare::read;
//! use treatrate::report::text;
//! use treatrate::solve::answer::Status;
//! use treatrate::solve::search::{Budget, cheapest};
//!
//! let oil = r#"
//!     shelf = ["shelves/garage-shelf.toml"]
//!     batch = "20 kg"
//!     grade = "15W-40"
//!     [limits]
//!     base-number = { min = 9 }
//!     [treat]
//!     package-diesel = { min = 12 }
//! "#;
//! // Shelves are sought from the folder given last; faults say what is wrong, where, and the edit.
//! let (problem, _) = read::problem_from_text("oil", oil, Path::new("problems")).expect("no faults");
//! let answer = cheapest(&problem, &Budget::default());
//! println!("{:?}", answer.status);
//! assert_eq!(answer.status, Status::Optimal);
//! assert!(text::answer::solve(&problem, &answer).starts_with("The cheapest recipe"));
//! ```
//!
//! The modules below are the table of contents and the law: a module may use only modules declared
//! above it (`tests/layers.rs` enforces this).

pub mod quantity;

pub mod fault;

pub mod standard;

pub mod parallel;

pub mod declare;

pub mod predict;

pub mod solve;

pub mod explain;

pub mod study;

pub mod report;

pub mod cli;
