//! How often a laboratory's test passes: exact distributions, closed forms, and a plain simulation that
//! shares nothing with the draws but the blend's value itself.

mod support;

use support::{Random, bare, figure, limit, normal, problem, shipped, state};
use treatrate::declare::component::{Entry, Figure};
use treatrate::declare::problem::{
    Limit, Mixing, Problem, Side, UserProperty, UserRule, ViscosityRule,
};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::recipe::Recipe;
use treatrate::predict::book::Book;
use treatrate::predict::cause::{Cause, Causes, Law, Unknown};
use treatrate::predict::chance::{Chances, chances};
use treatrate::predict::judge::judge;
use treatrate::quantity::{Celsius, Share, Unit};
use treatrate::report::text;
use treatrate::solve::search::Budget;
use treatrate::standard::element::Element;
use treatrate::study::confidence::{Confident, Outcome, confident};
use treatrate::study::guard::{guarded, own};
use treatrate::study::held::Held;
use treatrate::study::wish::Wish;

const DRAWS: usize = 65_536;

fn recipe(problem: &Problem, shares: &[f64]) -> Recipe {
    let shares: Vec<Share> = shares.iter().map(|x| Share::from_fraction(*x)).collect();
    Recipe::new(problem, &shares).expect("shares of a blend")
}

fn drawn(problem: &Problem, recipe: &Recipe, draws: usize) -> Chances {
    let causes = Causes::of(problem, recipe);
    chances(problem, &judge(problem, recipe), &causes, draws)
}

/// Nearby searches only: what is asked here is whether the answers pass, not whether they are the best.
fn quick() -> Budget {
    Budget {
        proof: None,
        ..Budget::default()
    }
}

fn asked(problem: &Problem, confidence: f64, together: bool) -> Confident {
    let wish = Wish {
        confidence,
        together,
        draws: 8192,
        worth: false,
    };
    confident(problem, wish, &quick())
}

fn uncertain(value: f64, sd: f64) -> Entry {
    Entry::Stated(Figure {
        sd: Some(sd),
        ..figure(value)
    })
}

/// A number as a part of the draws: three binomial standard errors of plain draws, which these draws
/// must at least match.
fn room(p: f64, draws: usize) -> f64 {
    let draws = f64::from(u32::try_from(draws).expect("few draws"));
    3.0 * (p * (1.0 - p) / draws).sqrt() + 1.0 / draws
}

/// Three components of a declared property that mixes on mass, with an uncertainty each.
fn declared() -> (Problem, Recipe, f64, f64) {
    let mut p = bare(&mut Random::new(5), 4, 0);
    p.properties = vec![UserProperty {
        name: "swell".into(),
        unit: Unit::NONE,
        rule: UserRule::MassLinear,
        missing: None,
        place: support::nowhere(),
    }];
    let shares = [0.5, 0.2, 0.2, 0.1];
    let values = [(3.0, 0.4), (8.0, 1.5), (1.0, 0.2), (20.0, 3.0)];
    let mut mean = 0.0;
    let mut variance = 0.0_f64;
    for ((c, (value, sd)), x) in p.components.iter_mut().zip(values).zip(shares) {
        c.figures
            .insert(Datum::User("swell".into()), uncertain(value, sd));
        mean += x * value;
        variance += (x * sd) * (x * sd);
    }
    let recipe = recipe(&p, &shares);
    (p, recipe, mean, variance.sqrt())
}

#[test]
fn a_linear_limit_has_the_exact_normal_chance() {
    let (mut p, recipe, mean, sd) = declared();
    let swell = || Property::User("swell".into());
    let places = [-2.5, -1.0, 0.0, 0.5, 1.645, 3.0];
    p.limits = places
        .into_iter()
        .flat_map(|z| [Side::Min, Side::Max].map(|side| limit(swell(), side, mean + z * sd)))
        .collect();
    let found = drawn(&p, &recipe, DRAWS);
    for (k, z) in places.into_iter().enumerate() {
        for (at, exact) in [(2 * k, normal(-z)), (2 * k + 1, normal(z))] {
            let pass = found.limits[at].pass.expect("a tested limit");
            let off = (pass.part - exact).abs();
            assert!(off < room(exact, found.draws), "{z}: {} {exact}", pass.part);
            // The stated error covers the true one: six of it, and never less than plain sampling's tenth.
            assert!(off < 6.0 * pass.error + 1e-4, "{z}: {off} {}", pass.error);
        }
    }
    let histogram = &found.distributions[0];
    assert!((histogram.sd / sd - 1.0).abs() < 2e-3 && (histogram.mean - mean).abs() < 2e-3 * sd);
    let counted: u64 = histogram.bins.iter().chain(&histogram.beyond).sum();
    assert_eq!(usize::try_from(counted).expect("few"), found.draws);
}

/// Two limits at their predicted values that share a cause: the chance that both pass is
/// 1/4 + asin(ρ)/2π (W. F. Sheppard 1899).
#[test]
fn two_limits_that_share_a_cause_pass_together_as_sheppard_says() {
    let mut p = bare(&mut Random::new(5), 4, 0);
    for c in &mut p.components {
        for e in Element::ALL {
            state(c, Datum::Element(e), 0.0);
        }
    }
    let (share, ca, sd) = (0.1, 25_000.0, 3_000.0);
    p.components[3]
        .figures
        .insert(Datum::Element(Element::Ca), uncertain(ca, sd));
    let ppm = share * ca;
    // Calcium to its sulfate: 136.14/40.08, as ASTM D874's table rounds it.
    let ash = ppm / 1e4 * 3.40;
    let recipe = recipe(&p, &[0.6, 0.2, 0.1, share]);
    // By hand: reproducibility of an element 10 % of the value, of ash 0.142 X^0.75 (ASTM D874), the ash
    // model 3 %, all as the crate's own tables say.
    let own_ca = 0.10 * ppm / 2.77;
    let own_ash = (0.142 * ash.powf(0.75) / 2.77).hypot(0.03 * ash);
    let (shared_ca, shared_ash) = (share * sd, share * sd / 1e4 * 3.40);
    let (sd_ca, sd_ash) = (own_ca.hypot(shared_ca), own_ash.hypot(shared_ash));
    let rho = shared_ca * shared_ash / (sd_ca * sd_ash);
    assert!(rho > 0.7);
    for (sides, sign) in [
        ([Side::Min, Side::Min], 1.0),
        ([Side::Max, Side::Max], 1.0),
        ([Side::Min, Side::Max], -1.0),
    ] {
        let at = judge(&p, &recipe);
        let value = |q: &Property| at.of(q).expect("predicted").value;
        let calcium = Property::Element(Element::Ca);
        p.limits = vec![
            limit(calcium.clone(), sides[0], value(&calcium)),
            limit(Property::Ash, sides[1], value(&Property::Ash)),
        ];
        assert!((value(&Property::Ash) - ash).abs() < 2e-3 * ash);
        let found = drawn(&p, &recipe, DRAWS);
        let exact = 0.25 + (sign * rho).asin() / (2.0 * std::f64::consts::PI);
        let off = (found.together.part - exact).abs();
        assert!(
            off < room(exact, found.draws),
            "{} {exact}",
            found.together.part
        );
        // What fails fails in half of the draws.
        let blamed = 0.5 / (1.0 - exact);
        assert!((found.limits[0].blamed - blamed).abs() < 0.01);
    }
}

/// A model's error moves every result of its kind by one part of it: of one component alone the rival
/// mixing rules agree and no figure is uncertain, so two results share that error and nothing else.
#[test]
fn one_error_of_a_model_moves_every_result_of_its_kind() {
    let mut p = bare(&mut Random::new(5), 4, 0);
    state(&mut p.components[0], Datum::Kv40, 60.0);
    state(&mut p.components[0], Datum::Kv100, 9.0);
    let [mild, cold] = [-25, -30].map(Celsius::whole);
    for c in &mut p.components {
        state(c, Datum::Ccs(mild), 2500.0);
        state(c, Datum::Ccs(cold), 5000.0);
    }
    let recipe = recipe(&p, &[1.0, 0.0, 0.0, 0.0]);
    // By hand, parts of the value: the mixing rule's mean error of 2.4 % (tests/mixing.rs) as a standard
    // deviation, that of cranking of 7 %; reproducibilities of ASTM D445 and D5293, all as the crate's own
    // tables say.
    let mixing = 0.024 * (std::f64::consts::PI / 2.0).sqrt();
    let kv = [Property::Kv40, Property::Kv100];
    let ccs = [Property::Ccs(mild), Property::Ccs(cold)];
    for (pair, model, tests) in [(kv, mixing, [0.0122, 0.0138]), (ccs, 0.07, [0.073; 2])] {
        let sds = tests.map(|r: f64| model.hypot(r / 2.77));
        let rho = model * model / (sds[0] * sds[1]);
        for (sides, sign) in [
            ([Side::Max, Side::Max], 1.0),
            ([Side::Min, Side::Max], -1.0),
        ] {
            let limits = pair.iter().zip(sides);
            let limits = limits.map(|(q, side)| limit(q.clone(), side, single(&p, q)));
            p.limits = limits.collect();
            let found = drawn(&p, &recipe, DRAWS);
            // W. F. Sheppard 1899.
            let exact = 0.25 + (sign * rho).asin() / (2.0 * std::f64::consts::PI);
            let off = (found.together.part - exact).abs();
            assert!(
                off < room(exact, found.draws),
                "{pair:?} {sides:?}: {} {exact}",
                found.together.part
            );
        }
    }
}

/// What the first component states of a property.
fn single(p: &Problem, q: &Property) -> f64 {
    let datum = match q {
        Property::Kv40 => Datum::Kv40,
        Property::Kv100 => Datum::Kv100,
        Property::Ccs(at) => Datum::Ccs(*at),
        other => panic!("{other} is not asked here"),
    };
    p.components[0].figure(&datum).expect("stated").value
}

/// What is estimated by rule errs by the rule's own part, and two estimates of one component err together:
/// a chance is then an integral over the rule's error alone.
#[test]
fn estimates_err_by_their_rule_and_together() {
    let mut p = bare(&mut Random::new(5), 4, 0);
    let at = [-30, -35, -40].map(Celsius::whole);
    for c in &mut p.components {
        for (k, v) in [(0, 2500.0), (1, 5000.0)] {
            state(c, Datum::Ccs(at[k]), v);
            state(c, Datum::Mrv(at[k]), 3.0 * v);
        }
    }
    for datum in [Datum::Ccs(at[2]), Datum::Mrv(at[2])] {
        let guess = Entry::Estimate(support::nowhere());
        p.components[0].figures.insert(datum, guess);
    }
    for c in &mut p.components[1..] {
        state(c, Datum::Ccs(at[2]), 1e4);
        state(c, Datum::Mrv(at[2]), 3e4);
    }
    let recipe = recipe(&p, &[1.0, 0.0, 0.0, 0.0]);
    // ln η is linear in 1/T through the two measured ones.
    let inverse = at.map(|t| 1.0 / (t.degrees() + 273.15));
    let way = (inverse[2] - inverse[0]) / (inverse[1] - inverse[0]);
    let cranking = 2500.0 * 2.0_f64.powf(way);
    // As the crate's own tables say: 15 % for a cold viscosity carried on along two measured ones, models
    // and reproducibilities as in `scatter`.
    let rule = 1.15_f64.ln();
    let own = [Property::Ccs(at[2]), Property::Mrv(at[2])].map(|q| {
        let (test, model) = scatter(&q, 1.0);
        (q, test.hypot(model))
    });
    let (mut off, mut stated) = (0.0_f64, 0.0_f64);
    for room_above in [0.8, 0.9, 1.0, 1.1, 1.2, 1.35] {
        p.limits = own
            .iter()
            .zip([cranking, 3.0 * cranking])
            .map(|((q, _), value)| limit(q.clone(), Side::Max, room_above * value))
            .collect();
        let found = drawn(&p, &recipe, DRAWS);
        let passes = |k: usize, n: f64| normal((room_above - (rule * n).exp()) / own[k].1);
        let over = |of: &dyn Fn(f64) -> f64| -> f64 {
            let steps = (-600..=600).map(|i| f64::from(i) / 100.0);
            let density = |n: f64| (-0.5 * n * n).exp() / (2.0 * std::f64::consts::PI).sqrt();
            steps.map(|n| 0.01 * density(n) * of(n)).sum()
        };
        let told = [0, 1].map(|k| found.limits[k].pass.expect("tested"));
        let exact = [
            over(&|n| passes(0, n)),
            over(&|n| passes(1, n)),
            over(&|n| passes(0, n) * passes(1, n)),
        ];
        let told = told.into_iter().chain([found.together]);
        for (told, exact) in told.zip(exact) {
            let apart = told.part - exact;
            let most = room(exact, found.draws);
            assert!(apart.abs() < most, "{room_above}: {} {exact}", told.part);
            off += apart * apart;
            stated += told.error * told.error;
        }
    }
    // The stated standard errors are about as large as the true ones.
    let honest = (off / stated).sqrt();
    assert!((0.3..3.0).contains(&honest), "{honest}");
}

/// Every cause together has the first-order standard deviation that `predict` tells; the draws have it
/// but for what the formulas' curvature adds.
#[test]
fn the_first_order_agrees() {
    for name in [
        "hill-climb-5w-50",
        "commuter-0w-16",
        "dyno-10w-60",
        "tow-truck-15w-40",
    ] {
        let mut p = shipped(name);
        p.balance = Some(0.002);
        let held = asked(&p, 0.5, false);
        let recipe = held.held().expect("a recipe").recipe.clone();
        let judged = judge(&p, &recipe);
        let causes = Causes::of(&p, &recipe);
        assert!(causes.tested.len() >= 8, "{name}");
        for (k, tested) in causes.tested.iter().enumerate() {
            let property = &tested.entry.property;
            let told = judged.of(property).expect("predicted").spread.total();
            let sd = causes.sd(k);
            assert!(
                (sd - told).abs() <= 1e-9 * told,
                "{name} {property}: {sd} {told}"
            );
        }
        let found = drawn(&p, &recipe, DRAWS);
        for (d, tested) in found.distributions.iter().zip(&causes.tested) {
            let property = &d.property;
            let entry = &tested.entry;
            let z: Vec<f64> = entry.totals.iter().map(|t| causes.totals[*t]).collect();
            let bend = entry.formula.curvature(&z).expect("a smooth point");
            // Second order: the mean is off by half the curvature along each cause.
            let along = |c: &Cause| -> f64 {
                let step = |k: usize| c.on_totals.get(entry.totals[k]).copied().unwrap_or(0.0);
                let n = z.len();
                let pairs = (0..n).flat_map(|a| (0..n).map(move |b| (a, b)));
                pairs
                    .map(|(a, b)| 0.5 * bend[(a, b)] * step(a) * step(b))
                    .sum()
            };
            let bent: f64 = causes.causes.iter().map(along).sum();
            let off = (d.mean - d.value - bent) / d.first_order;
            // Three standard errors of plain draws.
            assert!(off.abs() < 3.0 / 256.0, "{name} {property}: {off}");
            let wider = d.sd / d.first_order;
            assert!((wider - 1.0).abs() < 0.01, "{name} {property}: {wider}");
        }
    }
}

#[test]
fn pours_move_what_they_must() {
    let (mut p, recipe, mean, _) = declared();
    for c in &mut p.components {
        let value = c
            .figure(&Datum::User("swell".into()))
            .expect("stated")
            .value;
        state(c, Datum::User("swell".into()), value);
    }
    p.limits = vec![limit(Property::User("swell".into()), Side::Min, mean)];
    let certain = drawn(&p, &recipe, 8192);
    assert!(!certain.limits[0].drawn && certain.together.part >= 1.0);
    (p.batch, p.balance) = (Some(2.0), Some(0.004));
    // By hand: a pour of δ kg more than meant in B kg moves the mean by δ (v − mean)/B.
    let by_hand: f64 = [3.0, 8.0, 1.0, 20.0_f64]
        .map(|v| 0.004 / 2.0 * (v - mean))
        .map(|m| m * m)
        .iter()
        .sum::<f64>()
        .sqrt();
    let found = drawn(&p, &recipe, DRAWS);
    assert!((found.distributions[0].sd / by_hand - 1.0).abs() < 0.01);
    assert!(Causes::of(&p, &recipe).unknowns() == [Unknown::Pours]);
}

#[test]
fn one_thread_and_more_draw_the_same() {
    let p = shipped("dyno-10w-60");
    let recipe = asked(&p, 0.5, false)
        .held()
        .expect("a recipe")
        .recipe
        .clone();
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.expect("threads")
            .install(|| drawn(&p, &recipe, 40_000))
    };
    let one = with(1);
    for threads in [2, 3] {
        let more = with(threads);
        assert_eq!(format!("{one:?}"), format!("{more:?}"));
    }
}

/// A viscosity index below 2 mm²/s has no value: such draws fail.
#[test]
fn what_is_undefined_fails() {
    let mut p = bare(&mut Random::new(5), 4, 0);
    p.mixing = Mixing::default();
    for c in &mut p.components {
        c.figures.insert(Datum::Kv100, uncertain(2.02, 0.05));
        state(c, Datum::Kv40, 6.0);
    }
    let recipe = recipe(&p, &[0.97, 0.01, 0.01, 0.01]);
    p.limits = vec![limit(Property::Vi, Side::Min, -1e6)];
    let found = drawn(&p, &recipe, DRAWS);
    // Of the mean of four, all but the first count for nothing: z = −0.02/0.0485.
    let undefined = normal(-0.02 / (0.05 * 0.9702));
    let pass = found.limits[0].pass.expect("tested").part;
    assert!(
        (pass - (1.0 - undefined)).abs() < 0.01,
        "{pass} {undefined}"
    );
    assert!(found.distributions[0].beyond[2] > 0 && found.distributions[0].sd.is_finite());
}

/// A generator of its own (xorshift64*, S. Vigna 2016) and normal numbers by Box and Muller.
struct Plain(u64);

impl Plain {
    fn unit(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 32;
        (f64::from(u32::try_from(bits).expect("32 bits")) + 0.5) / 4_294_967_296.0
    }
    fn normal(&mut self) -> f64 {
        let (r, angle) = (self.unit(), self.unit());
        (-2.0 * r.ln()).sqrt() * (2.0 * std::f64::consts::PI * angle).cos()
    }
}

/// One laboratory's scatter at a value: the reproducibilities of ASTM methods over 2.77, and the errors
/// of the models, written down a second time from the documents that the crate cites.
fn scatter(property: &Property, value: f64) -> (f64, f64) {
    let kinematic = 0.024 * 1.2533;
    let (test, model) = match property {
        Property::Kv40 => (0.0122 / 2.77, kinematic),
        Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => (0.0138 / 2.77, kinematic),
        Property::Hths => (0.035 / 2.77, 0.03),
        Property::Ccs(_) => (0.073 / 2.77, 0.07),
        Property::Mrv(_) => (0.15 / 2.77, 0.20),
        Property::Noack => (0.16 / 2.77, 0.05),
        Property::BaseNumber => (0.07 / 2.77, 0.0),
        Property::Element(_) => (0.10 / 2.77, 0.0),
        Property::Ash => return (0.142 * value.max(0.0).powf(0.75) / 2.77, 0.03 * value),
        Property::Vi => return (1.75, 2.0),
        Property::AnilinePoint => return (0.0, 2.0),
        Property::Flash => return (0.0, 5.0),
        _ => (0.0, 0.0),
    };
    (test * value, model * value)
}

/// The same shelf as another laboratory's truth would have it: every uncertain figure moved.
fn true_shelf(p: &Problem, r: &mut Plain) -> Problem {
    let mut q = p.clone();
    let mut moved = |f: &mut Figure| {
        if let Some(sd) = f.sd.take() {
            let to = f.value + sd * r.normal();
            f.value = if f.value > 0.0 {
                to.max(f.value * 1e-3)
            } else {
                to
            };
        }
    };
    for c in &mut q.components {
        for entry in c.figures.values_mut() {
            if let Entry::Stated(f) = entry {
                moved(f);
            }
        }
        if let Some(polymer) = &mut c.polymer {
            polymer.figures_mut().into_iter().for_each(&mut moved);
        }
    }
    q
}

const VISCOUS: [Property; 4] = [
    Property::Kv40,
    Property::Kv100,
    Property::Kv100Sheared,
    Property::Kv100Krl,
];

fn value(p: &Problem, q: &Property, rule: ViscosityRule, shares: &[f64]) -> Option<f64> {
    let mixing = Mixing {
        viscosity: rule,
        ..p.mixing
    };
    let book = Book::new(p, mixing, [q]);
    book.entry(q).and_then(|e| book.value(e, shares))
}

fn ppm(p: &Problem, e: Element, shares: &[f64]) -> f64 {
    value(p, &Property::Element(e), p.mixing.viscosity, shares).unwrap_or(0.0)
}

/// Half the distance between the mixing rules, with the sign of its going along with KV100.
fn half_band(p: &Problem, q: &Property, shares: &[f64]) -> f64 {
    if !VISCOUS.contains(q) && !matches!(q, Property::Vi | Property::Hths) {
        return 0.0;
    }
    let by_rules =
        |q: &Property| ViscosityRule::ALL.map(|rule| value(p, q, rule, shares).unwrap_or(0.0));
    let (all, reference) = (by_rules(q), by_rules(&Property::Kv100));
    let low = all.iter().copied().fold(f64::INFINITY, f64::min);
    let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mean = |of: &[f64; 5]| of.iter().sum::<f64>() / 5.0;
    let with: f64 = (0..5)
        .map(|k| (all[k] - mean(&all)) * (reference[k] - mean(&reference)))
        .sum();
    (high - low) / 2.0 * with.signum()
}

/// One recipe, to be blended and tested many times over.
struct Bench<'a> {
    p: &'a Problem,
    shares: Vec<f64>,
    /// Each tested property with its value as meant and its half band; `None` where it is undefined as
    /// meant, a ratio of nothing to nothing: no laboratory's test.
    tested: Vec<(Property, Option<f64>, f64)>,
}

impl<'a> Bench<'a> {
    fn new(p: &'a Problem, recipe: &Recipe) -> Self {
        let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
        let defined = judge(p, recipe);
        let mut tested: Vec<(Property, Option<f64>, f64)> = Vec::new();
        for l in p.limits.iter().filter(|l| l.property.is_tested()) {
            let q = &l.property;
            if tested.iter().all(|(of, ..)| of != q) {
                let meant = value(p, q, p.mixing.viscosity, &shares);
                let meant = defined.of(q).and(meant);
                tested.push((q.clone(), meant, half_band(p, q, &shares)));
            }
        }
        Bench { p, shares, tested }
    }

    /// What the balance poured.
    fn poured(&self, r: &mut Plain) -> Vec<f64> {
        let mut x = self.shares.clone();
        if let Some(off) = self.p.balance.zip(self.p.batch).map(|(b, kg)| b / kg) {
            for x in x.iter_mut().filter(|x| **x > 0.0) {
                *x += off * r.normal();
            }
            let sum: f64 = x.iter().sum();
            for x in &mut x {
                *x /= sum;
            }
        }
        x
    }

    /// What one laboratory reports of one blend.
    fn reports(&self, r: &mut Plain) -> Vec<(Property, f64)> {
        let truth = true_shelf(self.p, r);
        let x = self.poured(r);
        let book = Book::new(&truth, truth.mixing, self.tested.iter().map(|(q, ..)| q));
        let rule = 2.0 * r.unit() - 1.0;
        let [kinematic, cold, pump] = [r.normal(), r.normal(), r.normal()];
        let elements: Vec<f64> = Element::ALL.map(|_| r.normal()).to_vec();
        let read = |e: Element| {
            let at = Element::ALL.iter().position(|o| *o == e);
            let n = elements[at.expect("one of them")];
            ppm(&truth, e, &x) + n * 0.10 / 2.77 * ppm(self.p, e, &self.shares)
        };
        let mut reports = Vec::new();
        for (q, meant, half) in &self.tested {
            let Some(meant) = *meant else { continue };
            let Some(v) = book.entry(q).and_then(|e| book.value(e, &x)) else {
                reports.push((q.clone(), f64::NAN));
                continue;
            };
            let (test, model) = scatter(q, meant);
            let report = match q {
                Property::Element(e) => read(*e),
                Property::Ratio(a, b) => read(*a) / read(*b),
                _ => {
                    let error = match q {
                        _ if VISCOUS.contains(q) => kinematic,
                        Property::Ccs(_) => cold,
                        Property::Mrv(_) => pump,
                        _ => r.normal(),
                    };
                    v + rule * half + error * model + r.normal() * test
                }
            };
            reports.push((q.clone(), report));
        }
        reports
    }
}

/// How often each tested limit of a recipe passes, and all of them, over so many oils: figures, pours,
/// mixing rule, models and tests drawn anew for each.
fn simulated(p: &Problem, recipe: &Recipe, runs: u32) -> (Vec<f64>, f64) {
    let bench = Bench::new(p, recipe);
    let mut r = Plain(0x9E37_79B9_7F4A_7C15);
    let mut passed = vec![0_u32; p.limits.len()];
    let mut all = 0;
    for _ in 0..runs {
        let reports = bench.reports(&mut r);
        let passes = |l: &Limit| {
            let report = reports.iter().find(|(of, _)| *of == l.property);
            report.is_none_or(|(_, v)| match l.side {
                Side::Min => *v >= l.stated,
                Side::Max => *v <= l.stated,
            })
        };
        let mut every = true;
        for (count, l) in passed.iter_mut().zip(&p.limits) {
            *count += u32::from(passes(l));
            every &= passes(l);
        }
        all += u32::from(every);
    }
    let part = |count: u32| f64::from(count) / f64::from(runs);
    (passed.into_iter().map(part).collect(), part(all))
}

const RUNS: u32 = 2000;

/// Three standard errors of a simulated chance.
fn sampling(p: f64) -> f64 {
    3.0 * (p * (1.0 - p) / f64::from(RUNS)).sqrt()
}

/// The recipe passes as often as asked in the simulation, and as often as was told.
fn passes_as_told(p: &Problem, confidence: f64, together: bool, name: &str) -> bool {
    let found = asked(p, confidence, together);
    let Outcome::Reached(held) = &found.outcome else {
        return false;
    };
    let (each, all) = simulated(p, &held.recipe, RUNS);
    let told = &held.sample.chances;
    for ((l, chance), simulated) in p.limits.iter().zip(&told.limits).zip(&each) {
        let Some(pass) = chance.pass.filter(|_| chance.drawn) else {
            continue;
        };
        let what = format!(
            "{name}: {} {:?}: {simulated} for {}",
            l.property, l.side, pass.part
        );
        if !together {
            assert!(*simulated >= confidence - sampling(confidence), "{what}");
        }
        // Both are samples; the draws have the smaller error by far.
        let room = 1.4 * sampling(pass.part.clamp(0.01, 0.99)) + 0.002;
        assert!((simulated - pass.part).abs() < room, "{what}");
    }
    let room = 1.4 * sampling(told.together.part.clamp(0.01, 0.99)) + 0.002;
    assert!(
        (all - told.together.part).abs() < room,
        "{name}: {all} {}",
        told.together.part
    );
    if together {
        assert!(all >= confidence - sampling(confidence), "{name}: {all}");
    }
    true
}

#[test]
fn confident_recipes_pass_in_a_plain_simulation() {
    for (name, confidence) in [
        ("logic-demo", 0.95),
        ("hill-climb-5w-50", 0.80),
        ("dyno-10w-60", 0.75),
        ("tow-truck-15w-40", 0.68),
    ] {
        assert!(
            passes_as_told(&shipped(name), confidence, false, name),
            "{name}"
        );
    }
    let mut p = shipped("logic-demo");
    p.balance = Some(0.005);
    assert!(passes_as_told(&p, 0.75, true, "together"));
}

#[test]
fn confident_recipes_of_random_problems_pass_too() {
    let mut reached = 0;
    for seed in 0..10 {
        let mut p = problem(seed, 9, 1, false);
        let mut r = Random::new(1000 + seed);
        for c in &mut p.components {
            for (datum, entry) in &mut c.figures {
                if let Entry::Stated(f) = entry
                    && *datum != Datum::Price
                {
                    f.sd = Some(f.value.abs() * r.between(0.0, 0.04));
                }
            }
            for f in c.polymer.iter_mut().flat_map(|p| p.figures_mut()) {
                f.sd = Some(f.value * r.between(0.0, 0.05));
            }
        }
        let confidence = r.between(0.55, 0.97);
        reached += u32::from(passes_as_told(
            &p,
            confidence,
            seed % 3 == 0,
            &format!("{seed}"),
        ));
    }
    assert!(reached >= 4, "{reached} of 10");
}

#[test]
fn more_is_never_cheaper_and_less_loosens_nothing() {
    let p = shipped("logic-demo");
    let plain = asked(&p, 0.3, false);
    let Outcome::Reached(held) = &plain.outcome else {
        panic!("there is a recipe");
    };
    // A recipe that stands on its limits passes every other time: less is no reason to leave them.
    let no_guard = own(&p, plain.wish, held).iter().all(|g| *g <= 0.0);
    assert!(no_guard);
    assert!(judge(&p, &held.recipe).passes());
    let mut before = plain.plain.objective.expect("a cost");
    assert!((held.value().expect("a cost") - before).abs() < 1e-3 * before);
    for confidence in [0.6, 0.75, 0.85, 0.92, 0.96] {
        let found = asked(&p, confidence, false);
        let held = found.held().expect("a recipe");
        let value = held.value().expect("a cost");
        assert!(
            value >= before * (1.0 - 1e-3),
            "{confidence}: {value} {before}"
        );
        assert!(held.sample.chances.least() >= confidence - 5e-4);
        for (l, g) in p
            .limits
            .iter()
            .zip(guarded(&p, &own(&p, found.wish, held)).limits)
        {
            match l.side {
                Side::Min => assert!(g.bound >= l.bound),
                Side::Max => assert!(g.bound <= l.bound),
            }
        }
        before = value;
    }
    // All together is more than each.
    let each = asked(&p, 0.8, false);
    let all = asked(&p, 0.8, true);
    assert!(all.held().and_then(Held::value) > each.held().and_then(Held::value));
}

#[test]
fn what_cannot_be_is_told_with_what_can() {
    let mut p = shipped("dyno-10w-60");
    p.title = String::new();
    let found = confident(
        &p,
        Wish {
            confidence: 0.95,
            together: false,
            draws: 8192,
            worth: true,
        },
        &quick(),
    );
    let Outcome::NotReached {
        highest,
        refused: Some(refused),
        ..
    } = &found.outcome
    else {
        panic!("the grade's window is 4 mm²/s wide, and its two guards are more");
    };
    let reached = found.wish.reached(&highest.held);
    assert!((0.75..0.95).contains(&reached), "{reached}");
    let window: f64 = p
        .limits
        .iter()
        .zip(&refused.guards)
        .filter(|(l, _)| l.property == Property::Kv100 && l.bound > 22.0)
        .map(|(_, g)| g)
        .sum();
    assert!(window > 26.1 - 22.5);
    // With the viscosities' mixing known there is one; that is worth measuring.
    let blend = found.worth.iter().find(|w| w.unknown == Unknown::Viscosity);
    assert!(blend.is_some_and(|w| w.value.is_some() && w.together > 0.05));
    // What is told can be had.
    assert!(matches!(
        asked(&p, reached - 0.01, false).outcome,
        Outcome::Reached(_)
    ));
}

/// What was sought with a confidence has it also where it is judged, and hardly more.
#[test]
fn a_recipe_that_is_sure_enough_is_judged_so() {
    let p = shipped("logic-demo");
    for confidence in [0.8, 0.95] {
        let found = asked(&p, confidence, false);
        let Outcome::Reached(held) = &found.outcome else {
            panic!("there is a recipe");
        };
        let judged = drawn(&p, &held.recipe, 8192);
        assert!(judged.each_reaches(confidence), "{}", judged.least());
        assert!(!judged.each_reaches(confidence + 0.01));
        // Short of it by no more than 5 in 10 000.
        assert!(!judged.each_reaches(judged.least() + 6e-4));
        let told = text::chances::verdict(&p, &judged, confidence);
        assert!(told.starts_with("Each limit passes"), "{told}");
        assert!(!text::chances::section(&p, &judged, Some(confidence)).contains("TOO SELDOM"));
    }
}

/// A cause known exactly is worth what the same question without its uncertainty answers.
#[test]
fn what_a_figure_is_worth_is_what_its_certainty_saves() {
    let p = shipped("logic-demo");
    let wish = Wish {
        confidence: 0.95,
        together: false,
        draws: 8192,
        worth: true,
    };
    let found = confident(&p, wish, &quick());
    let cost = found.held().and_then(Held::value).expect("a cost");
    let mut figures = 0;
    for worth in &found.worth {
        let Unknown::Figure(j, treatrate::predict::nudge::Part::Datum(datum)) = &worth.unknown
        else {
            continue;
        };
        let mut known = p.clone();
        if let Some(Entry::Stated(f)) = known.components[*j].figures.get_mut(datum) {
            f.sd = None;
        }
        let again = asked(&known, 0.95, false);
        let value = again.held().and_then(Held::value).expect("a cost");
        let saves = worth.saves.expect("both are reached");
        assert!(
            (cost - value - saves).abs() < 1e-3 * cost,
            "{:?}",
            worth.unknown
        );
        figures += 1;
    }
    assert!(figures > 0);
    let saved: Vec<f64> = found.worth.iter().filter_map(|w| w.saves).collect();
    assert!(
        saved.windows(2).all(|w| w[0] >= w[1]) && saved[0] > 0.05 * cost,
        "{saved:?}"
    );
}

/// What the rival mixing rules move up together they move by one sign, and what falls where the others
/// rise by the other.
#[test]
fn rival_rules_move_each_property_their_own_way() {
    let mut against = 0;
    for name in [
        "hill-climb-5w-50",
        "commuter-0w-16",
        "dyno-10w-60",
        "tow-truck-15w-40",
        "low-ash-5w-30",
        "logic-demo",
    ] {
        let p = shipped(name);
        let held = asked(&p, 0.5, false);
        let recipe = held.held().expect("a recipe").recipe.clone();
        let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
        let causes = Causes::of(&p, &recipe);
        let one = causes.causes.iter().find(|c| c.law == Law::Uniform);
        let moved = &one.expect("the rules differ").on_values;
        let by_rules = |q: &Property| -> Vec<f64> {
            let rules = ViscosityRule::ALL.into_iter();
            rules
                .filter_map(|rule| value(&p, q, rule, &shares))
                .collect()
        };
        let mean = |of: &[f64]| of.iter().sum::<f64>() / of.iter().map(|_| 1.0).sum::<f64>();
        let kv = by_rules(&Property::Kv100);
        let of = causes.tested.iter().zip(moved);
        for (tested, moved) in of.filter(|(_, moved)| moved.abs() > 0.0) {
            let own = by_rules(&tested.entry.property);
            assert_eq!(own.len(), kv.len());
            let (a, b) = (mean(&own), mean(&kv));
            let together: f64 = own.iter().zip(&kv).map(|(x, y)| (x - a) * (y - b)).sum();
            let property = &tested.entry.property;
            assert!(
                together * moved > 0.0,
                "{name} {property}: {together} {moved}"
            );
            against += u32::from(*moved < 0.0);
        }
    }
    assert!(
        against > 0,
        "no property falls against the others: nothing was shown"
    );
}

#[test]
fn the_mixing_rules_are_the_only_uniform_cause() {
    let p = shipped("hill-climb-5w-50");
    let recipe = asked(&p, 0.5, false)
        .held()
        .expect("a recipe")
        .recipe
        .clone();
    let causes = Causes::of(&p, &recipe);
    let uniform: Vec<_> = causes
        .causes
        .iter()
        .filter(|c| c.law == Law::Uniform)
        .collect();
    assert_eq!(uniform.len(), 1);
    let moved = |q: &Property| causes.place(q).map(|k| uniform[0].on_values[k]);
    for q in [Property::Kv100, Property::Kv100Sheared, Property::Hths] {
        assert!(moved(&q) > Some(0.0), "{q}");
    }
    assert_eq!(moved(&Property::Noack), Some(0.0));
}
