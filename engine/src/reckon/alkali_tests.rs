use super::*;

fn exactly<T: super::super::units::Measure>(v: T) -> Span<T> {
    Span::exactly(v)
}

fn near(span: Span<Mass>, grams: f64, within: f64) {
    assert!((span.low().in_g() - grams).abs() <= within, "{span:?} against {grams} g");
}

/// By hand with IUPAC masses: a kilogram of paste with 5 to 15 % of caustic soda brings 1.250 to 3.750 mol.
#[test]
fn a_paste_brings_what_its_caustic_soda_brings() {
    let share = Span::between(Share::percent(5.0), Share::percent(15.0));
    let brought = soluble(exactly(Mass::kg(1.0)), share);
    assert!((brought.low().in_mol() - 1.2501).abs() < 0.0002);
    assert!((brought.high().in_mol() - 3.7503).abs() < 0.0002);
}

/// 100 g of caustic soda (2.500 mol), worked by hand: acetic 150.1 g, citric 160.1 g, monohydrate 175.1 g, phosphoric
/// 122.5 to 245.0 g, oxalic dihydrate 157.6 g.
#[test]
fn acid_for_a_hundred_grams_of_caustic() {
    let alkali = exactly(Mass::g(100.0)) / exactly(NAOH);
    near(Acid::Acetic.for_alkali(alkali), 150.1, 0.2);
    near(Acid::Citric.for_alkali(alkali), 160.1, 0.2);
    near(Acid::CitricMonohydrate.for_alkali(alkali), 175.1, 0.2);
    near(Acid::Oxalic.for_alkali(alkali), 157.6, 0.2);
    let phosphoric = Acid::Phosphoric.for_alkali(alkali);
    near(phosphoric, 122.5, 0.2);
    assert!((phosphoric.high().in_g() - 245.0).abs() <= 0.2);
}

/// By hand: 5 % acetic acid of 1.006 kg/L for 100 g of caustic soda is 3.003 kg or 2.985 L; 100 g of KOH wants 107.0 g of
/// acetic acid.
#[test]
fn acid_by_volume_and_for_other_alkalis() {
    let acid = Acid::Acetic.for_alkali(exactly(Mass::g(100.0)) / exactly(NAOH));
    let wash = acid / exactly(Ratio::of(0.05));
    assert!((wash.low().in_kg() - 3.003).abs() < 0.001);
    let litres = (wash / exactly(Density::kg_per_litre(1.006))).low().in_litres();
    assert!((litres - 2.985).abs() < 0.01, "{litres}");
    near(Acid::Acetic.for_alkali(exactly(Mass::g(100.0)) / exactly(KOH)), 107.0, 0.1);
}

/// By hand: 3 mm of paste at 1.3 kg/L, 2 % left on 1 m2, is 78 g; with 10 % of caustic soda 0.1950 mol, which 0.2342 kg of 5 %
/// acetic acid neutralise.
#[test]
fn what_is_left_on_a_wall_wants_so_much_acid() {
    let left = exactly(Area::m2(1.0)) * exactly(Length::mm(3.0)) * exactly(Density::kg_per_litre(1.3)) * exactly(Share::percent(2.0));
    near(left, 78.0, 1e-6);
    let alkali = soluble(left, exactly(Share::percent(10.0)));
    assert!((alkali.low().in_mol() - 0.1950).abs() < 0.0002);
    let wash = (Acid::Acetic.for_alkali(alkali) / exactly(Ratio::of(0.05))).low().in_kg();
    assert!((wash - 0.2342).abs() < 0.0005);
}

/// ASTM D1962 by its definition: a value of 190 mg/g is 190 g of KOH or 135.45 g of caustic soda for a kilogram of oil.
/// By hand: 1 mm of paint at 2.0 kg/L with 25 % of binder uses 67.72 g/m2, which 0.6772 kg/m2 of 10 % paste brings, or
/// 0.521 mm of it at 1.3 kg/L.
#[test]
fn old_oil_uses_up_little_of_a_paste() {
    let oil = exactly(Mass::kg(1.0)) * exactly(Share::mg_per_g(190.0)) * (exactly(NAOH) / exactly(KOH));
    near(oil, 135.45, 0.01);
    let demand = saponification_demand(
        exactly(Length::mm(1.0)),
        exactly(Density::kg_per_litre(2.0)),
        exactly(Share::percent(25.0)),
        exactly(Share::mg_per_g(190.0)),
    );
    assert!((demand.low().in_g_per_m2() - 67.72).abs() < 0.01);
    assert!((demand.low().in_kg_per_m2() / 0.10 - 0.6772).abs() < 0.0002);
    let thickness = paste_thickness_for(demand, exactly(Share::percent(10.0)), exactly(Density::kg_per_litre(1.3)));
    assert!((thickness.low().in_mm() - 0.521).abs() < 0.001);
}

/// By hand from the reactions, for 100 g of caustic soda: 132.49 g of carbonate; 215.2 g of gypsum attacked, 177.6 g of
/// sulphate. 100 g of acetic acid dissolves 83.33 g of calcium carbonate.
#[test]
fn what_alkali_and_acid_do_to_the_host() {
    near(carbonate_left(exactly(Mass::g(100.0))), 132.49, 0.02);
    let (attacked, sulphate) = gypsum_attacked(exactly(Mass::g(100.0)));
    near(attacked, 215.2, 0.1);
    near(sulphate, 177.6, 0.1);
    near(carbonate_dissolved(exactly(Mass::g(100.0)) / exactly(Acid::Acetic.molar_mass())), 83.33, 0.02);
}
