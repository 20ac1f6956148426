//! What the pictures show: their content, not their bytes.

#[path = "pictures/examples.rs"]
mod examples;

use std::env;
use std::fs;
use std::path::Path;
use treatrate::report::picture;

/// Set to a folder to look at the examples: `TREATRATE_PICTURES=/tmp/p cargo test --test pictures`.
const LOOK: &str = "TREATRATE_PICTURES";

#[test]
fn every_kind_is_drawn_the_same_twice() {
    for (name, example) in examples::all() {
        let svg = picture::svg(&example);
        assert_eq!(svg, picture::svg(&example), "{name}");
        let png = picture::png(&example).expect("a picture of a page");
        assert_eq!(png, picture::png(&example).expect("a picture of a page"), "{name}");
        if let Some(folder) = env::var_os(LOOK) {
            let at = Path::new(&folder).join(name);
            fs::write(at.with_extension("svg"), svg).expect("a folder");
            fs::write(at.with_extension("png"), png).expect("a folder");
        }
    }
}
