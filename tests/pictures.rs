//! What the pictures show: their content, not their bytes.

#[path = "pictures/examples.rs"]
mod examples;
#[path = "pictures/eye.rs"]
mod eye;
#[path = "pictures/page.rs"]
mod page;

use page::Page;
use std::env;
use std::fs;
use std::path::Path;
use treatrate::report::picture;
use treatrate::report::picture::data::{
    Along, Axis, Band, Cell, FrontierPoint, Gap, MapPicture, Mark, Moved, Picture, TornadoBar,
};
use treatrate::report::picture::file;
use treatrate::report::picture::palette;

/// Set to a folder to look at the examples: `TREATRATE_PICTURES=/tmp/p cargo test --test pictures`.
const LOOK: &str = "TREATRATE_PICTURES";

fn hex(colour: palette::Colour) -> String {
    format!("#{:02X}{:02X}{:02X}", colour.0, colour.1, colour.2)
}

#[test]
fn every_kind_is_drawn_the_same_twice() {
    for (name, example) in examples::all() {
        let svg = picture::svg(&example);
        assert_eq!(svg, picture::svg(&example), "{name}");
        let png = picture::png(&example).expect("a picture of a page");
        let again = picture::png(&example).expect("a picture of a page");
        assert!(png == again, "{name}");
        let page = Page::of(&svg);
        page::check_png(name, &png, page.size);
        if let Some(folder) = env::var_os(LOOK) {
            let at = Path::new(&folder).join(name);
            fs::write(at.with_extension("svg"), svg).expect("a folder");
            fs::write(at.with_extension("png"), png).expect("a folder");
            fs::write(at.with_extension("txt"), picture::terminal(&example, 80)).expect("a folder");
        }
    }
}

#[test]
fn nothing_leaves_the_page_and_no_words_lie_on_others() {
    for (name, example) in examples::all() {
        let page = Page::of(&picture::svg(&example));
        page.stays_inside(name);
        page.words_apart(name);
    }
}

#[test]
fn a_page_tells_what_it_shows_in_words() {
    for (name, example) in examples::all() {
        let page = Page::of(&picture::svg(&example));
        let (title, says) = match &example {
            Picture::Sweep(p) => (&p.title, p.goal.words()),
            Picture::Map(p) => (&p.title, p.goal.words()),
            Picture::Frontier(p) => (&p.title, p.x.words()),
            Picture::Tornado(p) => (&p.title, p.axis.words()),
            Picture::Distribution(p) => (&p.title, p.panels[0].axis.words()),
        };
        assert_eq!(&page.title, title, "{name}");
        assert!(
            page.description.contains(&says),
            "{name}: {}",
            page.description
        );
        assert!(page.has(&says), "{name}: {:?}", page.words);
    }
}

#[test]
fn a_sweep_shows_curve_stack_marks_and_gap() {
    let example = examples::sweep();
    let page = Page::of(&picture::svg(&Picture::Sweep(example.clone())));
    for words in [
        "cost, EUR/kg",
        "treat rate, mass %",
        "limits, where they bind",
        "phosphorus, at least, ppm",
        "no recipe",
        "group III 6",
        "zinc dialkyl dithiophosphate, secondary",
        // Two of eleven stay below half a per cent.
        "2 others",
        "787",
        "872.4",
    ] {
        assert!(page.has(words), "{words}: {:?}", page.words);
    }
    for mark in &example.marks {
        assert!(page.has(&mark.label), "{}", mark.label);
    }
    assert!(
        page.all()
            .contains("No recipe from 600 to 655 ppm: zinc at most 950 ppm")
    );
    // One area a layer: nine components of their own, and the others.
    assert_eq!(page.count("polygon", None), 10);
    // The curve is one line, for only the gap interrupts it, and it lies at the left of it.
    assert_eq!(page.count("polyline", Some(&hex(palette::BLUE))), 1);
    // One bar a stretch in which a limit binds.
    let stretches: usize = example.marks.iter().map(|m| m.stretches.len()).sum();
    assert_eq!(page.count("rect", Some(&hex(palette::BINDS))), stretches);
    // The gap in each of three panels, and once more behind its words.
    assert_eq!(page.count("rect", Some(&hex(palette::NOTHING))), 4);
}

#[test]
fn a_sweep_over_words_has_a_bar_each() {
    let example = examples::grades();
    let page = Page::of(&picture::svg(&Picture::Sweep(example.clone())));
    for words in ["0W-8", "20W-50", "grade", "no recipe", "PAO 4"] {
        assert!(page.has(words), "{words}");
    }
    assert!(page.all().contains("No recipe at 0W-8: "));
    let recipes = example.goal_values.iter().flatten().count();
    assert_eq!(page.count("circle", Some(&hex(palette::BLUE))), recipes);
    // Every recipe has a segment of the first component and so does the label at the right, save
    // one that does without.
    let first = page.count("rect", Some(&hex(palette::hue(0))));
    assert!(first >= recipes, "{first}");
}

#[test]
fn a_curve_stops_at_a_gap_between_two_points() {
    let mut example = examples::sweep();
    example.gaps.push(Gap {
        stretch: examples::stretch(801.0, 804.0),
        reason: String::new(),
    });
    let page = Page::of(&picture::svg(&Picture::Sweep(example)));
    assert_eq!(page.count("polyline", Some(&hex(palette::BLUE))), 2);
    assert!(page.all().contains("No recipe from 801 to 804 ppm."));
}

#[test]
fn a_map_names_its_regions() {
    let example = examples::map();
    let page = Page::of(&picture::svg(&Picture::Map(example.clone())));
    for words in [
        "HTHS, sulfated ash",
        "Noack loss, HTHS, aniline point",
        "no recipe",
        "cost, EUR/kg",
        "Noack loss, at most, %",
        "phosphorus, at least, ppm",
        "what binds",
        // The narrow region has a letter, and its name in the key.
        "D",
    ] {
        assert!(page.has(words), "{words}: {:?}", page.words);
    }
    assert!(
        page.all()
            .contains("phosphorus, zinc, Noack loss, treat of zddp-booster")
    );
    let nothing = hex(palette::NOTHING);
    assert!(page.count("rect", Some(&nothing)) > 0);
    // The dearest and the cheapest cell have the ends of the sequence.
    for share in [0.0, 1.0] {
        let end = hex(palette::sequence(share));
        assert!(page.count("rect", Some(&end)) > 1, "{end}");
    }
}

#[test]
fn a_frontier_shows_ends_rates_and_the_jump() {
    let example = examples::frontier();
    let page = Page::of(&picture::svg(&Picture::Frontier(example.clone())));
    for words in [
        "cheapest",
        "lowest Noack loss",
        "Noack loss, %",
        "cost, EUR/kg",
    ] {
        assert!(page.has(words), "{words}");
    }
    let rates = example.points.iter().filter(|p| !p.rate.is_empty());
    for rate in rates {
        assert!(page.has(&rate.rate), "{}", rate.rate);
    }
    assert_eq!(page.count("polyline", Some(&hex(palette::BLUE))), 2);
    assert!(page.all().contains("the frontier jumps"));
    assert_eq!(page.count("circle", Some(&hex(palette::VERMILLION))), 2);
}

#[test]
fn a_tornado_shows_every_bar_both_ways() {
    let example = examples::tornado();
    let page = Page::of(&picture::svg(&Picture::Tornado(example.clone())));
    for bar in &example.bars {
        assert!(page.has(&bar.label), "{}", bar.label);
        for moved in bar.moves.iter().flatten() {
            let at = format!(" at {}", moved.to);
            assert!(page.words.iter().any(|w| w.ends_with(&at)), "{at}");
        }
    }
    for words in [
        "tightened",
        "loosened",
        "no recipe at 110.3",
        "+0.121 at 7.0",
        "−0.0004 at 3.60",
    ] {
        assert!(page.has(words), "{words}: {:?}", page.words);
    }
    // A bar a move that leaves a recipe, and the colour's key.
    let count = |way: usize| {
        let moves = example.bars.iter().flat_map(|b| &b.moves[way]);
        moves.filter(|m| m.effect.is_some()).count() + 1
    };
    assert_eq!(
        page.count("rect", Some(&hex(palette::VERMILLION))),
        count(0)
    );
    assert_eq!(page.count("rect", Some(&hex(palette::SKY))), count(1));
}

#[test]
fn a_distribution_shades_what_fails() {
    let example = examples::distribution();
    let page = Page::of(&picture::svg(&Picture::Distribution(example.clone())));
    for panel in &example.panels {
        for words in [&panel.axis.words(), &panel.pass] {
            assert!(page.has(words), "{words}");
        }
        for limit in [&panel.min, &panel.max].into_iter().flatten() {
            assert!(page.has(&limit.words), "{}", limit.words);
        }
    }
    // A part that passes each, and those that fail: two of the first, none of cranking.
    assert_eq!(page.count("polygon", Some(&hex(palette::SKY))), 7);
    assert_eq!(page.count("polygon", Some(&hex(palette::VERMILLION))), 7);
    assert!(page.has(&example.together));
}

#[test]
fn a_limit_far_off_is_named_at_the_edge() {
    let mut example = examples::distribution();
    let panel = &mut example.panels[4];
    let far = panel.max.as_mut().expect("a maximum");
    far.value = 60_000.0;
    far.words = "max 60000".into();
    let page = Page::of(&picture::svg(&Picture::Distribution(example)));
    assert!(page.has("max 60000 →"), "{:?}", page.words);
    page.stays_inside("far");
    page.words_apart("far");
}

#[test]
fn simulated_eyes_keep_white_white() {
    for (name, sight) in eye::SIGHTS {
        let [light, a, b] = eye::lab((255, 255, 255), &sight);
        assert!(
            (light - 100.0).abs() < 0.01 && a.abs() < 0.05 && b.abs() < 0.05,
            "{name}"
        );
    }
}

#[test]
fn every_eye_tells_the_colours_apart() {
    for (name, sight) in eye::SIGHTS {
        let near = |a, b| eye::apart(a, b, &sight);
        let fifteen: Vec<palette::Colour> = (0..15).map(palette::hue).collect();
        for (i, a) in fifteen.iter().enumerate() {
            for (j, b) in fifteen.iter().enumerate().skip(i + 1) {
                // What touches in a stack is farther apart.
                let least = if j == i + 1 { 15.0 } else { 8.0 };
                assert!(near(*a, *b) > least, "{name}: {i} {j} {}", near(*a, *b));
            }
            assert!(near(*a, palette::GROUND) > 10.0, "{name}: {a:?}");
        }
        assert!(near(palette::VERMILLION, palette::SKY) > 40.0, "{name}");
        assert!(near(palette::NOTHING, palette::GROUND) > 5.0, "{name}");
    }
    // Without any colour: the two ways of a tornado, the two parts of a hump.
    let grey = |c| eye::lab(c, &eye::SIGHTS[0].1)[0];
    assert!(grey(palette::SKY) - grey(palette::VERMILLION) > 12.0);
}

#[test]
fn the_sequence_of_a_map_is_in_order_for_every_eye() {
    for (name, sight) in eye::SIGHTS {
        let lightness: Vec<f64> = (0..=20)
            .map(|i| eye::lab(palette::sequence(examples::real(i) / 20.0), &sight)[0])
            .collect();
        assert!(
            lightness.windows(2).all(|w| w[0] > w[1]),
            "{name}: {lightness:?}"
        );
        // Black words are legible on the darkest of it: lightness 50 is a contrast of about 4.5.
        assert!(lightness[20] > 50.0, "{name}");
    }
}

/// A picture of every kind with next to nothing in it.
fn bare() -> Vec<Picture> {
    let mut sweep = examples::sweep();
    let mut map = examples::map();
    let mut frontier = examples::frontier();
    let mut tornado = examples::tornado();
    let mut distribution = examples::distribution();
    sweep.along = Along::Numbers(Vec::new());
    sweep.goal_values.clear();
    sweep.components.clear();
    sweep.marks.clear();
    sweep.breaks.clear();
    sweep.gaps.clear();
    map.along_x = Along::Words(Vec::new());
    map.cells.clear();
    map.regions.clear();
    frontier.points.clear();
    frontier.jumps.clear();
    tornado.bars.clear();
    distribution.panels.clear();
    distribution.together.clear();
    vec![
        Picture::Sweep(sweep),
        Picture::Map(map),
        Picture::Frontier(frontier),
        Picture::Tornado(tornado),
        Picture::Distribution(distribution),
    ]
}

#[test]
fn nothing_and_one_point_are_drawn_too() {
    for picture in bare() {
        let page = Page::of(&picture::svg(&picture));
        page.stays_inside("bare");
        assert!(picture::terminal(&picture, 80).lines().count() < 24);
        picture::png(&picture).expect("a page");
    }
    let mut sweep = examples::sweep();
    sweep.along = Along::Numbers(vec![700.0]);
    sweep.goal_values = vec![Some(3.2)];
    sweep.breaks.clear();
    sweep.gaps.clear();
    check("one point", &Picture::Sweep(sweep.clone()));
    sweep.goal_values = vec![None];
    let page = check("one point, no recipe", &Picture::Sweep(sweep));
    assert!(page.has("no recipe"));
    let mut frontier = examples::frontier();
    frontier.points.truncate(1);
    check("one end", &Picture::Frontier(frontier));
    let map = MapPicture {
        along_x: Along::Numbers(vec![700.0]),
        along_y: Along::Words(vec![
            "5W-30".into(),
            "a grade with a very long name indeed".into(),
        ]),
        cells: vec![
            Cell {
                goal: Some(3.0),
                region: 0,
            },
            Cell {
                goal: None,
                region: 9,
            },
        ],
        ..examples::map()
    };
    check("one column", &Picture::Map(map));
}

/// Draws a picture every way and checks what holds for each.
fn check(name: &str, picture: &Picture) -> Page {
    let svg = picture::svg(picture);
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}");
    let page = Page::of(&svg);
    page.stays_inside(name);
    page.words_apart(name);
    for width in [20, 60, 80, 200] {
        let plain = picture::terminal(picture, width);
        let longest = plain.lines().map(|l| l.chars().count()).max();
        assert!(
            longest.unwrap_or(0) <= width.max(40),
            "{name} {width}\n{plain}"
        );
        assert!(plain.lines().count() <= 24, "{name}\n{plain}");
        assert!(!plain.contains("NaN"), "{name}\n{plain}");
    }
    page
}

#[test]
fn numbers_of_any_size_are_drawn() {
    let nothing = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];
    for scale in [1e-300, 1e-12, 1e-3, 1.0, 1e6, 1e12, 1e300] {
        let mut sweep = examples::sweep();
        for value in sweep.goal_values.iter_mut().flatten() {
            *value *= scale;
        }
        check("scaled", &Picture::Sweep(sweep));
        let mut frontier = examples::frontier();
        for point in &mut frontier.points {
            point.x *= scale;
            point.y *= scale;
        }
        check("scaled", &Picture::Frontier(frontier));
        let mut tornado = examples::tornado();
        for moved in tornado
            .bars
            .iter_mut()
            .flat_map(|b| b.moves.iter_mut().flatten())
        {
            moved.effect = moved.effect.map(|e| e * scale);
        }
        check("scaled", &Picture::Tornado(tornado));
    }
    let mut sweep = examples::sweep();
    sweep.goal_values.iter_mut().for_each(|v| *v = Some(3.2));
    let page = check("constant", &Picture::Sweep(sweep.clone()));
    assert!(page.has("3.20"), "{:?}", page.words);
    for odd in nothing {
        sweep.goal_values[40] = Some(odd);
        sweep.components[3].rates[30] = odd;
        sweep.breaks.push(odd);
        check("no number", &Picture::Sweep(sweep.clone()));
        let mut map = examples::map();
        map.cells[7].goal = Some(odd);
        check("no number", &Picture::Map(map));
        let mut frontier = examples::frontier();
        frontier.points[3].x = odd;
        check("no number", &Picture::Frontier(frontier));
        let mut distribution = examples::distribution();
        distribution.panels[0].bins[3] = odd;
        distribution.panels[1].width = odd;
        check("no number", &Picture::Distribution(distribution));
    }
}

#[test]
fn many_components_and_marks_keep_their_room() {
    for count in [3, 15] {
        let mut sweep = examples::sweep();
        let length = sweep.goal_values.len();
        sweep.components = (0..count)
            .map(|i| Band {
                name: examples::NAMES[i].into(),
                rates: vec![100.0 / examples::real(count); length],
            })
            .collect();
        let page = check("components", &Picture::Sweep(sweep));
        for name in &examples::NAMES[..count] {
            assert!(page.has(name), "{name}");
        }
    }
    for count in [1, 20] {
        let mut sweep = examples::sweep();
        sweep.marks = (0..count)
            .map(|i| Mark {
                label: format!(
                    "limit {i} on a quantity with a name that is longer than any label may be, by some words"
                ),
                stretches: vec![examples::stretch(700.0, 900.0)],
            })
            .collect();
        let svg = picture::svg(&Picture::Sweep(sweep));
        let page = Page::of(&svg);
        page.stays_inside("marks");
        page.words_apart("marks");
        assert_eq!(page.count("rect", Some(&hex(palette::BINDS))), count);
        let cut = page
            .words
            .iter()
            .filter(|w| w.starts_with("limit ") && w.ends_with('…'));
        assert_eq!(cut.count(), count);
    }
    let mut tornado = examples::tornado();
    tornado.bars = (0..40)
        .map(|i| TornadoBar {
            label: format!("{i} {}", examples::NAMES[i % 15]),
            moves: [0.1, -0.1].map(|effect| {
                Some(Moved {
                    to: "0.1".into(),
                    effect: Some(effect),
                })
            }),
        })
        .collect();
    check("bars", &Picture::Tornado(tornado));
}

#[test]
fn names_with_signs_of_xml_come_through() {
    let name = "a < b & \"c\" > 'd' \u{7} µ²";
    let mut sweep = examples::sweep();
    sweep.title = name.into();
    sweep.x = Axis::new(name, "<&>");
    sweep.marks[0].label = name.into();
    sweep.components[0].name = name.into();
    let page = Page::of(&picture::svg(&Picture::Sweep(sweep)));
    let shown = "a < b & \"c\" > 'd' µ²";
    assert!(page.has(shown), "{:?}", page.words);
    assert_eq!(
        page.title.split_whitespace().collect::<Vec<_>>().join(" "),
        shown
    );
    assert!(page.has("a < b & \"c\" > 'd' µ², <&>"), "{:?}", page.words);
}

#[test]
fn a_crowded_frontier_hides_no_words_under_others() {
    let mut frontier = examples::frontier();
    frontier.points = (0..200)
        .map(|i| FrontierPoint {
            x: examples::real(i),
            y: 1.0 / (1.0 + examples::real(i)),
            rate: "0.012 EUR/kg per 1 %".into(),
        })
        .collect();
    frontier.jumps.clear();
    let page = check("crowd", &Picture::Frontier(frontier));
    assert!(page.words.iter().filter(|w| w.contains("per 1 %")).count() > 3);
}

#[test]
fn a_plain_plot_names_what_it_shows() {
    let plain = |picture: Picture| picture::terminal(&picture, 80);
    let sweep = plain(Picture::Sweep(examples::sweep()));
    for words in [
        "cost, EUR/kg",
        "phosphorus, at least, ppm",
        "no recipe from 600 to 655 ppm",
        "━━",
        "Mo:P by mass ≥ 1",
    ] {
        assert!(sweep.contains(words), "{words}\n{sweep}");
    }
    let map = plain(Picture::Map(examples::map()));
    for words in [
        "A  HTHS, sulfated ash",
        "D  phosphorus, zinc",
        "·  no recipe",
        "600 to 984",
        "AAAA",
    ] {
        assert!(map.contains(words), "{words}\n{map}");
    }
    let tornado = plain(Picture::Tornado(examples::tornado()));
    assert!(tornado.contains("██") && tornado.contains("▒▒") && tornado.contains("no recipe"));
    let frontier = plain(Picture::Frontier(examples::frontier()));
    assert!(
        frontier.contains("cheapest: Noack loss 13.00 %, cost 2.620 EUR/kg."),
        "{frontier}"
    );
    let distribution = plain(Picture::Distribution(examples::distribution()));
    assert!(
        distribution.contains('█') && distribution.contains("passes 95 %"),
        "{distribution}"
    );
}

#[test]
fn a_file_is_written_whole_or_not_at_all() {
    let folder = tempfile::tempdir().expect("a folder");
    let example = Picture::Tornado(examples::tornado());
    let at = folder.path().join("a.svg");
    file::write(&at, &example).expect("a file");
    assert_eq!(
        fs::read_to_string(&at).expect("a file"),
        picture::svg(&example)
    );
    let at = folder.path().join("a.PNG");
    file::write(&at, &example).expect("a file");
    assert!(fs::read(&at).expect("a file").starts_with(b"\x89PNG\r\n"));
    for name in ["a.pdf", "a", "svg", ".svg"] {
        let why = file::write(&folder.path().join(name), &example).expect_err("no such kind");
        let why = why.to_string();
        assert!(why.contains("`.svg`") && why.contains("`.png`"), "{why}");
    }
    let lost = folder.path().join("no folder").join("a.svg");
    assert!(matches!(
        file::write(&lost, &example),
        Err(file::Unwritten::System(_))
    ));
    // A folder stands in the way: it stays, and no draft is left.
    fs::create_dir(folder.path().join("taken.svg")).expect("a folder");
    assert!(file::write(&folder.path().join("taken.svg"), &example).is_err());
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 3);
}
