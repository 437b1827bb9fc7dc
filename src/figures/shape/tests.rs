use super::*;

const DEPTHS: [f64; 5] = [10.0, 40.0, 80.0, 110.0, 140.0];
const NAMING: Naming = Naming { threshold_mm: 0.0025, choked: false };

/// Samples of a function of position (+1 at the head end, -1 at the base end) and angle in degrees.
fn sampled(depths: &[f64], axes: &[f64], diameter: impl Fn(f64, f64) -> f64) -> Vec<Sample> {
    let (head, base) = (depths[0], depths[depths.len() - 1]);
    let mut samples = Vec::new();
    for (station, &depth_mm) in depths.iter().enumerate() {
        let t = if base == head { 0.0 } else { 1.0 - 2.0 * (depth_mm - head) / (base - head) };
        for &degrees in axes {
            samples.push(Sample { station, depth_mm, degrees, diameter_mm: diameter(t, degrees) });
        }
    }
    samples
}

fn near(value: Option<f64>, expected: f64) -> bool {
    value.is_some_and(|value| (value - expected).abs() < 1e-9)
}

fn words(depths: &[f64], axes: &[f64], diameter: impl Fn(f64, f64) -> f64) -> String {
    Shape::fit(&sampled(depths, axes, diameter)).unwrap().words(NAMING)
}

/// Grade D: the fit gives back the terms that the diameters were made of, counted from either end.
#[test]
fn finds_the_terms_that_are_there() {
    let made = |t: f64, a: f64| {
        130.0 + 0.040 * t / 2.0 - 0.030 * (t * t - 1.0 / 3.0)
            + 0.050 / 2.0 * (2.0 * (a - 120.0)).to_radians().cos()
    };
    let from_head = sampled(&DEPTHS, &[0.0, 45.0, 90.0, 135.0], made);
    let mut from_base = from_head.clone();
    from_base.iter_mut().for_each(|sample| sample.depth_mm = 200.0 - sample.depth_mm);
    for samples in [from_head, from_base] {
        let shape = Shape::fit(&samples).unwrap();
        assert!((shape.mean_mm - 130.0).abs() < 1e-9);
        assert!(near(shape.taper_mm, 0.040) && near(shape.bow_mm, 0.030), "{shape:?}");
        let oval = shape.oval.unwrap();
        assert!(oval.whole && (oval.ovality_mm - 0.050).abs() < 1e-9 && (oval.degrees - 120.0).abs() < 1e-6);
        assert!(near(shape.residual_mm, 0.0));
        assert_eq!(shape.not_determined, []);
    }
}

/// W2's four readings (an engine maker's service instruction of 1967 on nitrided barrels; the shape is derived,
/// grade D): averages of the ends differ by 0.0015 in, averages of the axes by 0.0020 in, and each reading is
/// 0.0005 in off the sum of the two, with one degree of freedom: residual 2 x 0.0005 in.
#[test]
fn w2_shape() {
    let samples: Vec<_> = [(0, 0.0, 5.1310), (0, 90.0, 5.1320), (1, 0.0, 5.1285), (1, 90.0, 5.1315)]
        .map(|(station, degrees, inches)| Sample {
            station,
            depth_mm: 25.4 + 100.0 * station as f64,
            degrees,
            diameter_mm: inches * 25.4,
        })
        .into();
    let shape = Shape::fit(&samples).unwrap();
    assert!(near(shape.taper_mm, 0.0015 * 25.4));
    assert!(near(shape.residual_mm, 0.0010 * 25.4));
    let oval = shape.oval.unwrap();
    assert!((oval.ovality_mm - 0.0020 * 25.4).abs() < 1e-9 && oval.degrees == 90.0 && !oval.whole);
    assert_eq!(shape.not_determined, [Term::Bow, Term::Ovality]);
    assert_eq!(shape.words(NAMING), "worn at the head end, oval across the crankshaft");
}

/// The words, each by a bore made to deserve it.
#[test]
fn names() {
    let two = [0.0, 90.0];
    let four = [0.0, 45.0, 90.0, 135.0];
    let oval = |p: f64| move |_: f64, a: f64| 130.0 + 0.02 * (2.0 * (a - p)).to_radians().cos();
    assert_eq!(words(&DEPTHS, &two, |_, _| 130.0), "even");
    assert_eq!(words(&DEPTHS, &two, |t, _| 130.0 + 0.02 * t), "worn at the head end");
    assert_eq!(words(&DEPTHS, &two, |t, _| 130.0 - 0.02 * t), "worn at the base end");
    assert_eq!(words(&DEPTHS, &two, |t, _| 130.0 - 0.02 * t * t), "barrelled");
    assert_eq!(words(&DEPTHS, &two, |t, _| 130.0 + 0.02 * t * t), "waisted");
    assert_eq!(words(&DEPTHS, &four, oval(90.0)), "oval across the crankshaft");
    assert_eq!(words(&DEPTHS, &four, oval(70.0)), "oval across the crankshaft");
    assert_eq!(words(&DEPTHS, &four, oval(0.0)), "oval along the crankshaft");
    assert_eq!(words(&DEPTHS, &four, oval(160.0)), "oval along the crankshaft");
    assert_eq!(words(&DEPTHS, &four, oval(45.0)), "oval at 45 degrees");
    assert_eq!(words(&DEPTHS, &four, oval(130.4)), "oval at 130 degrees");
    assert_eq!(words(&DEPTHS, &two, oval(0.0)), "oval along the crankshaft");
    assert_eq!(words(&DEPTHS, &two, oval(45.0)), "even", "two axes cannot see it");
    let edge = |t: f64| if t < -0.9 { 0.03 } else { 0.0 };
    assert_eq!(words(&DEPTHS, &two, |t, _| 130.0 + edge(t)), "bell-mouthed");
    // Wear that dies away from the top: smaller in the middle than at the head, but not than at the base.
    assert_eq!(words(&DEPTHS, &two, |t, _| 130.0 + 0.02 * (t + 1.0).powi(2)), "worn at the head end");
    // A scatter with nothing regular in it, much larger than the threshold.
    let scatter = |t: f64, a: f64| 130.0 + if (a < 45.0) == (t.abs() > 0.4) { 0.02 } else { -0.02 };
    assert_eq!(words(&[0.0, 25.0, 50.0, 75.0], &two, scatter), "uneven");
}

#[test]
fn what_is_not_larger_than_the_threshold_or_the_residual_is_not_named() {
    let by = |step: f64| words(&DEPTHS, &[0.0, 90.0], move |t, _| 130.0 + step / 2.0 * t);
    assert_eq!((by(0.0024).as_str(), by(0.0026).as_str()), ("even", "worn at the head end"));
    let noisy = |taper: f64| {
        let mut sign = 1.0;
        let mut samples = sampled(&DEPTHS, &[0.0, 45.0, 90.0, 135.0], |t, _| 130.0 + taper / 2.0 * t);
        for sample in &mut samples {
            sign = -sign;
            sample.diameter_mm += 0.010 * sign;
        }
        let shape = Shape::fit(&samples).unwrap();
        assert!(shape.residual_mm.unwrap() > 0.010);
        shape.names(NAMING).contains(&ShapeName::WornAtHeadEnd)
    };
    assert!(!noisy(0.008) && noisy(0.030));
}

#[test]
fn a_barrel_made_choked_is_not_called_worn_for_it() {
    let choked = Naming { choked: true, ..NAMING };
    let name = |head: f64| {
        Shape::fit(&sampled(&DEPTHS, &[0.0, 90.0], |t, _| 130.0 + head / 2.0 * t)).unwrap().words(choked)
    };
    assert_eq!(name(-0.040), "choked");
    assert_eq!(name(0.0), "parallel where it was made choked");
    assert_eq!(name(0.040), "worn at the head end");
}

/// Terms that the cells cannot determine are left out and listed; those that they can stay right.
#[test]
fn missing_cells() {
    let made = |t: f64, a: f64| 130.0 + 0.02 * t + 0.01 * (2.0 * a).to_radians().cos();
    let all = sampled(&DEPTHS, &[0.0, 90.0], made);
    let fit = |keep: &dyn Fn(&Sample) -> bool| {
        let kept: Vec<_> = all.iter().copied().filter(|sample| keep(sample)).collect();
        Shape::fit(&kept)
    };
    assert_eq!(fit(&|_| false), None);
    let one = fit(&|s| s.station == 0 && s.degrees == 0.0).unwrap();
    assert_eq!(one.not_determined, [Term::Taper, Term::Bow, Term::Ovality]);
    assert_eq!(one.words(NAMING), "too few readings to tell");
    assert!((one.mean_mm - 130.03).abs() < 1e-9);
    let one_station = fit(&|s| s.station == 2).unwrap();
    assert!(one_station.taper_mm.is_none() && one_station.oval.is_some());
    let one_axis = fit(&|s| s.degrees == 90.0).unwrap();
    assert!(near(one_axis.taper_mm, 0.04) && one_axis.oval.is_none());
    // One axis at the head end and the other at the base end: taper or oval, nobody can say.
    let crossed = fit(&|s| (s.station == 0 && s.degrees == 0.0) || (s.station == 4 && s.degrees == 90.0));
    let crossed = crossed.unwrap();
    assert!(crossed.taper_mm.is_none() && crossed.oval.is_none(), "{crossed:?}");
    assert_eq!(crossed.words(NAMING), "too few readings to tell");
    // One axis at the ends and the other in the middle: bow or oval, but the taper is plain.
    let bow_or_oval = fit(&|s| if s.degrees == 0.0 { s.station % 4 == 0 } else { s.station == 2 }).unwrap();
    assert!(bow_or_oval.bow_mm.is_none() && bow_or_oval.oval.is_none(), "{bow_or_oval:?}");
    // Any single cell may be missing.
    for gone in 0..all.len() {
        let mut rest = all.clone();
        rest.remove(gone);
        let shape = Shape::fit(&rest).unwrap();
        assert!(near(shape.taper_mm, 0.04) && near(shape.bow_mm, 0.0), "{shape:?}");
        assert!((shape.oval.unwrap().ovality_mm - 0.02).abs() < 1e-9);
    }
}

#[test]
fn angles_and_depths_that_make_no_sense_do_no_harm() {
    for degrees in [f64::NAN, f64::INFINITY, -1e300] {
        let samples = sampled(&DEPTHS, &[0.0, degrees], |t, _| 130.0 + 0.02 * t);
        assert!(!Shape::fit(&samples).unwrap().names(NAMING).is_empty());
    }
    let flat = sampled(&[50.0, 50.0, 50.0], &[0.0, 90.0], |_, _| 130.0);
    let shape = Shape::fit(&flat).unwrap();
    assert_eq!(shape.not_determined, [Term::Taper, Term::Bow, Term::Ovality]);
}
