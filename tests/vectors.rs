//! The calculators held against vectors that a library wrote: `tests/vectors/air.py` says how.

use crate::support::root;
use ovolo_engine::reckon::air;
use ovolo_engine::reckon::units::{Celsius, Length, Pressure, Share};

#[test]
fn air_agrees_with_the_library() {
    let text = std::fs::read_to_string(root().join("tests/vectors/air.csv")).expect("the vectors");
    assert!(text.starts_with("# moist air by psychrolib 2.5.0"), "the version stands in the file");
    let (mut dew, mut frost, mut wet) = (0, 0, 0);
    for line in text.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let at = |i: usize| cells[i].parse::<f64>().unwrap_or_else(|e| panic!("{line}: {e}"));
        let (air, humidity) = (Celsius::of(at(1)), Share::percent(at(2)));
        match cells[0] {
            "dew" => {
                dew += 1;
                let got = air::dew_point(air, humidity).value();
                assert!((got - at(6)).abs() <= 0.05, "{line}: dew point {got}");
                let saturation = air::saturation_pressure(air).in_pa();
                assert!((saturation - at(7)).abs() <= at(7) * 0.006, "{line}: saturation {saturation}");
            }
            "frost" => {
                frost += 1;
                let got = air::frost_point(air, humidity).unwrap_or_else(|| panic!("{line}: no frost")).value();
                assert!((got - at(6)).abs() <= 0.1, "{line}: frost point {got}");
                assert!(air::dew_point(air, humidity).value() <= got, "{line}: water dew comes after frost");
            }
            "wet" => {
                wet += 1;
                let pressure = air::pressure_at(Length::m(at(4)));
                assert!((pressure.in_pa() - at(5)).abs() <= 20.0, "{line}: pressure {}", pressure.in_pa());
                let got = air::humidity_from_wet_bulb(air, Celsius::of(at(3)), Pressure::pa(at(5)));
                assert!((got.in_percent() - at(2)).abs() <= 0.4, "{line}: humidity {}", got.in_percent());
            }
            other => panic!("{line}: {other}"),
        }
    }
    assert!(dew > 200 && frost > 20 && wet > 100, "{dew} {frost} {wet}");
}
