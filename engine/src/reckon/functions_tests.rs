use super::*;

/// What each argument is tried from and to, in base units, and functions whose arguments go together.
fn tried(argument: &Argument) -> (f64, f64) {
    match argument.name {
        "air" | "surface" => (-1.0, 60.0),
        "wet_bulb" => (0.0, 40.0),
        "humidity" | "wanted" => (0.01, 1.0),
        "moisture" => (0.02, 0.25),
        "margin" => (0.0, 10.0),
        "flow" => (1e-5, 2e-3),
        "pressure" => (1e5, 2e8),
        "distance" | "thickness" => (1e-4, 1.0),
        "angle" => (0.0, 170.0),
        "rate" => (1e-10, 1e-7),
        "density" => (500.0, 4_000.0),
        "content" => (0.0, 1.0),
        "reading" => (0.0, 1.0),
        other => panic!("say what `{other}` is tried from and to"),
    }
}

fn at(range: (f64, f64), step: usize, of: usize) -> f64 {
    range.0 + (range.1 - range.0) * step as f64 / of as f64
}

/// Every combination of nine values of each argument.
fn grid(function: &Function) -> Vec<Vec<f64>> {
    function.takes.iter().fold(vec![Vec::new()], |sets, argument| {
        let range = tried(argument);
        sets.iter().flat_map(|set| (0..9).map(move |i| set.iter().copied().chain([at(range, i, 8)]).collect())).collect()
    })
}

/// Each row says truly which way its result goes with every argument: tried on a grid, one argument moved at a time.
#[test]
fn results_go_the_way_the_table_says() {
    for f in FUNCTIONS {
        let mut compared = 0;
        for base in grid(f) {
            for (i, argument) in f.takes.iter().enumerate() {
                let range = tried(argument);
                for step in 0..40 {
                    let (mut a, mut b) = (base.clone(), base.clone());
                    (a[i], b[i]) = (at(range, step, 40), at(range, step + 1, 40));
                    let (Some(x), Some(y)) = (f.apply(&a), f.apply(&b)) else { continue };
                    compared += 1;
                    let hair = 1e-9 * x.abs().max(y.abs());
                    let true_to_it = match argument.goes {
                        Goes::Up => y >= x - hair,
                        Goes::Down => y <= x + hair,
                        Goes::Turns(steepest) => (y - x).abs() <= steepest * (b[i] - a[i]) + hair,
                    };
                    assert!(true_to_it, "{} with {} from {a:?} to {b:?}: {x} to {y}", f.name, argument.name);
                }
            }
        }
        assert!(compared > 100, "{}: {compared}", f.name);
    }
}

/// A range holds every value that comes of its inside.
#[test]
fn ranges_are_never_too_narrow() {
    for f in FUNCTIONS {
        let mut held = 0;
        for low in grid(f) {
            let ranges: Vec<(f64, f64)> =
                low.iter().zip(f.takes.iter()).map(|(l, a)| (*l, (l + (tried(a).1 - tried(a).0) * 0.17).min(tried(a).1))).collect();
            let Some((least, most)) = f.range(&ranges) else { continue };
            for corner in 0..5_usize.pow(f.takes.len() as u32) {
                let inside: Vec<f64> = ranges.iter().enumerate().map(|(i, r)| at(*r, corner / 5_usize.pow(i as u32) % 5, 4)).collect();
                let Some(v) = f.apply(&inside) else { continue };
                held += 1;
                let hair = 1e-9 * v.abs();
                assert!(least <= v + hair && v <= most + hair, "{} {inside:?}: {v} outside {least} .. {most}", f.name);
            }
        }
        assert!(held > 40, "{}: {held}", f.name);
    }
}

/// Rows carry what is shown of them, in units that are written, under names that a script can say.
#[test]
fn rows_are_whole() {
    for f in FUNCTIONS {
        assert!(f.name.chars().all(|c| c.is_ascii_lowercase() || c == '_'), "{}", f.name);
        assert!(!f.source.is_empty() && f.means.trim().ends_with('.'), "{}", f.name);
        assert!(f.takes.iter().enumerate().all(|(i, _)| f.told.contains(&format!("{{{i}}}"))), "{}: {}", f.name, f.told);
        for name in f.takes.iter().map(|a| a.unit).chain([f.gives]).filter(|u| !u.is_empty()) {
            assert!(quantity::find_unit(name).is_some(), "{}: {name}", f.name);
        }
        assert_eq!(FUNCTIONS.iter().filter(|o| o.name == f.name).count(), 1);
    }
}

/// Outside what a formula is good for there is no number, rather than a wrong one.
#[test]
fn out_of_bounds_is_no_number() {
    let none = |name: &str, given: &[f64]| assert_eq!(Function::find(name).unwrap().apply(given), None, "{name} {given:?}");
    none("dew_point", &[20.0, 1.2]);
    none("dew_point", &[400.0, 0.5]);
    none("timber_moisture", &[-10.0, 0.5]);
    none("humidity_for_timber", &[20.0, 0.6]);
    none("humidity_by_wet_bulb", &[15.0, 18.0]);
    none("fan_width", &[0.3, 180.0]);
    none("drying_time", &[0.02, 0.0]);
    none("lead_by_weight", &[0.01, 0.0, 2_000.0]);
    assert_eq!(Function::find("dew_point").unwrap().range(&[(20.0, f64::INFINITY), (0.5, 0.5)]), None);
}

/// Seals of rules are made of what a tree prints, which must be the same on every run: no address may be in it.
#[test]
fn a_function_prints_the_same_on_every_run() {
    let dew = Function::find("dew_point").unwrap();
    assert_eq!(format!("{dew:?}"), "dew_point (WMO-No. 8, Magnus form)");
    assert!(FUNCTIONS.iter().all(|f| !format!("{f:?}").contains("0x")));
}
