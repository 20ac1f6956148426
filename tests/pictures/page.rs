//! A page read back: its words, its shapes, and the room that each takes.

use resvg::tiny_skia::Pixmap;
use resvg::usvg::{Group, Node, Options, Rect, TextChunk, Tree, roxmltree};
use std::collections::BTreeSet;
use treatrate::report::picture::lettering::FACES;

/// A page read back.
pub(crate) struct Page {
    /// Its name for who cannot see it.
    pub(crate) title: String,
    /// Its content for who cannot see it.
    pub(crate) description: String,
    /// Its size, pixels.
    pub(crate) size: (f64, f64),
    /// Every text on it.
    pub(crate) words: Vec<String>,
    /// The tag and the colour of each shape.
    shapes: Vec<(String, String)>,
    /// Every text and the rectangle that its letters take, pixels.
    letters: Vec<(String, Rect)>,
    /// The least and the greatest coordinate of any shape, in pixels: left, top, right, bottom.
    reach: [f64; 4],
}

impl Page {
    /// Reads an SVG; it is well formed and says which size it is.
    pub(crate) fn of(svg: &str) -> Page {
        let document = roxmltree::Document::parse(svg).expect("well-formed XML");
        let root = document.root_element();
        let number = |name: &str| -> f64 {
            let text = root.attribute(name).expect("a size");
            text.parse().expect("a number")
        };
        let size = (number("width"), number("height"));
        let text = |tag: &str| {
            let node = root
                .children()
                .find(|n| n.has_tag_name(tag))
                .expect("a text");
            node.text().expect("a text").to_owned()
        };
        let mut shapes = Vec::new();
        let mut words = Vec::new();
        for node in root.descendants().filter(roxmltree::Node::is_element) {
            let colour = |name: &str| node.attribute(name).filter(|c| *c != "none");
            if node.has_tag_name("text") {
                let said = node.text().expect("words");
                words.push(said.split_whitespace().collect::<Vec<_>>().join(" "));
            } else if let Some(colour) = colour("fill").or(colour("stroke")) {
                shapes.push((node.tag_name().name().to_owned(), colour.to_owned()));
            }
        }
        let mut options = Options::default();
        for face in FACES {
            options.fontdb_mut().load_font_data(face.to_vec());
        }
        let tree = Tree::from_str(svg, &options).expect("an SVG");
        let mut letters = Vec::new();
        let mut reach = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        gather(tree.root(), &mut letters, &mut reach);
        Page {
            title: text("title"),
            description: text("desc"),
            size,
            words,
            shapes,
            letters,
            reach,
        }
    }

    /// Whether a text stands on the page, whole.
    pub(crate) fn has(&self, words: &str) -> bool {
        self.words.iter().any(|w| w == words)
    }

    /// Every text, one after the other.
    pub(crate) fn all(&self) -> String {
        self.words.join(" ")
    }

    /// How many shapes have this tag and colour.
    pub(crate) fn count(&self, tag: &str, colour: Option<&str>) -> usize {
        let of = |shape: &&(String, String)| shape.0 == tag && colour.is_none_or(|c| shape.1 == c);
        self.shapes.iter().filter(of).count()
    }

    /// Fails where a shape or a letter leaves the page.
    pub(crate) fn stays_inside(&self, name: &str) {
        let (wide, high) = self.size;
        let [left, top, right, bottom] = self.reach;
        assert!(
            left >= -0.1 && top >= -0.1 && right <= wide + 0.1 && bottom <= high + 0.1,
            "{name}: {:?} on {:?}",
            self.reach,
            self.size
        );
        for (words, at) in &self.letters {
            let inside = at.left() >= 0.0
                && at.top() >= 0.0
                && f64::from(at.right()) <= wide
                && f64::from(at.bottom()) <= high;
            assert!(inside, "{name}: {words} at {at:?} on {:?}", self.size);
        }
    }

    /// Fails where the letters of two texts overlap.
    pub(crate) fn words_apart(&self, name: &str) {
        for (i, (words, a)) in self.letters.iter().enumerate() {
            for (other, b) in &self.letters[i + 1..] {
                let apart = a.right() <= b.left()
                    || b.right() <= a.left()
                    || a.bottom() <= b.top()
                    || b.bottom() <= a.top();
                assert!(apart, "{name}: `{words}` {a:?} and `{other}` {b:?}");
            }
        }
    }
}

fn gather(group: &Group, letters: &mut Vec<(String, Rect)>, reach: &mut [f64; 4]) {
    for node in group.children() {
        match node {
            Node::Group(group) => gather(group, letters, reach),
            Node::Text(text) => {
                let words: String = text.chunks().iter().map(TextChunk::text).collect();
                // What the letters cover, not their line.
                letters.push((words, text.flattened().abs_bounding_box()));
            }
            Node::Path(path) => {
                let at = path.abs_bounding_box();
                let sides = [at.left(), at.top(), at.right(), at.bottom()].map(f64::from);
                reach[0] = reach[0].min(sides[0]);
                reach[1] = reach[1].min(sides[1]);
                reach[2] = reach[2].max(sides[2]);
                reach[3] = reach[3].max(sides[3]);
            }
            Node::Image(_) => panic!("no picture holds an image"),
        }
    }
}

/// Checks that a PNG decodes, has two pixels a pixel of the page, and shows something on white.
pub(crate) fn check_png(name: &str, png: &[u8], (wide, high): (f64, f64)) {
    let pixels = Pixmap::decode_png(png).expect("a PNG");
    assert!(
        (f64::from(pixels.width()) - 2.0 * wide).abs() <= 2.0,
        "{name}"
    );
    assert!(
        (f64::from(pixels.height()) - 2.0 * high).abs() <= 2.0,
        "{name}"
    );
    let colours: BTreeSet<[u8; 3]> = pixels
        .pixels()
        .iter()
        .map(|p| [p.red(), p.green(), p.blue()])
        .collect();
    assert!(colours.len() > 20, "{name}: {}", colours.len());
    let corner = pixels.pixel(0, 0).expect("a corner");
    assert_eq!(
        [corner.red(), corner.green(), corner.blue()],
        [255; 3],
        "{name}"
    );
    let all = pixels.pixels();
    let white = all
        .iter()
        .filter(|p| p.red() == 255 && p.blue() == 255)
        .count();
    let drawn = all.len() - white;
    assert!(drawn * 50 > all.len(), "{name}: next to nothing is drawn");
}
