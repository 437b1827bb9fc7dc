use proptest::prelude::*;

use super::*;

const MM3: Style = Style { unit: Unit::Millimetre, decimals: 3 };
const IN4: Style = Style { unit: Unit::Inch, decimals: 4 };

fn inch(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

fn mm(text: &str) -> Length {
    Length::parse(text, Unit::Millimetre).unwrap().length
}

#[test]
fn every_way_of_writing_a_length() {
    use Unit::{Inch, Millimetre};
    // Text, unit of the sheet, tenths of a nanometre, unit and decimals as written.
    let table = [
        ("5.1255", Inch, 1_301_877_000, Inch, 4),
        ("5.1255", Millimetre, 51_255_000, Millimetre, 4),
        ("5.1255 in", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255in", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255 in.", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255 inch", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255 INCHES", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255\"", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255 \u{2033}", Millimetre, 1_301_877_000, Inch, 4),
        ("5.1255''", Millimetre, 1_301_877_000, Inch, 4),
        ("130.19 mm", Inch, 1_301_900_000, Millimetre, 2),
        ("130.19MM", Inch, 1_301_900_000, Millimetre, 2),
        ("130,19 millimetres", Inch, 1_301_900_000, Millimetre, 2),
        ("1 millimetre", Inch, 10_000_000, Millimetre, 0),
        ("130,19", Millimetre, 1_301_900_000, Millimetre, 2),
        ("  130.190\u{a0}mm ", Inch, 1_301_900_000, Millimetre, 3),
        ("+0.0003", Inch, 76_200, Inch, 4),
        ("-0.0003", Inch, -76_200, Inch, 4),
        ("\u{2212}0.0003", Inch, -76_200, Inch, 4),
        ("- 0.0003", Inch, -76_200, Inch, 4),
        ("-12 \u{b5}in", Inch, -3_048, Inch, 6),
        ("-12 \u{3bc}in", Millimetre, -3_048, Inch, 6),
        ("-12 uin", Inch, -3_048, Inch, 6),
        ("1 microinch", Millimetre, 254, Inch, 6),
        ("0.5 microinches", Millimetre, 127, Inch, 7),
        ("3 thou", Inch, 762_000, Inch, 3),
        ("1.5 thou", Millimetre, 381_000, Inch, 4),
        ("7 \u{b5}m", Inch, 70_000, Millimetre, 3),
        ("7 \u{3bc}m", Inch, 70_000, Millimetre, 3),
        ("7,5 um", Inch, 75_000, Millimetre, 4),
        ("0", Inch, 0, Inch, 0),
        (".5", Millimetre, 5_000_000, Millimetre, 1),
        ("5.", Millimetre, 50_000_000, Millimetre, 0),
        ("005.10", Millimetre, 51_000_000, Millimetre, 2),
        ("0.0000001", Millimetre, 1, Millimetre, 7),
        ("0.00000050", Inch, 127, Inch, 8),
        ("10000", Millimetre, LONGEST, Millimetre, 0),
        ("-10000", Millimetre, -LONGEST, Millimetre, 0),
    ];
    for (text, sheet, tenths, unit, decimals) in table {
        let entry = Length::parse(text, sheet).unwrap_or_else(|e| panic!("{text:?}: {e}"));
        assert_eq!(entry.length.tenths_of_nm(), tenths, "{text:?}");
        assert_eq!(entry.style, Style { unit, decimals }, "{text:?}");
    }
}

#[test]
fn every_way_of_not_writing_a_length() {
    let zeros = format!("0.{}", "0".repeat(300));
    let digits = "9".repeat(60);
    let fine = format!("5.{}", "1".repeat(60));
    let fine_32 = format!("5.{}", "1".repeat(32));
    let long_33 = "1".repeat(33);
    let own = |text: &str| text.to_owned();
    let table = [
        ("", LengthError::Empty),
        (" \t\u{a0}", LengthError::Empty),
        ("five", LengthError::NotANumber(own("five"))),
        ("-", LengthError::NotANumber(own("-"))),
        ("--5", LengthError::NotANumber(own("--5"))),
        ("+-5", LengthError::NotANumber(own("+-5"))),
        (".", LengthError::NotANumber(own("."))),
        ("mm", LengthError::NotANumber(own("mm"))),
        ("NaN", LengthError::NotANumber(own("NaN"))),
        ("inf", LengthError::NotANumber(own("inf"))),
        ("1,234.5", LengthError::TwoDecimalSigns(own("1,234.5"))),
        ("1.2.3 mm", LengthError::TwoDecimalSigns(own("1.2.3 mm"))),
        ("5,,1", LengthError::TwoDecimalSigns(own("5,,1"))),
        ("5.1 cm", LengthError::UnknownUnit(own("cm"))),
        ("5.1'", LengthError::UnknownUnit(own("'"))),
        ("5.1 1/2", LengthError::UnknownUnit(own("1/2"))),
        ("5.1 mm in", LengthError::UnknownUnit(own("mm in"))),
        ("1e3", LengthError::UnknownUnit(own("e3"))),
        ("0.00000001 mm", LengthError::TooFine(own("0.00000001 mm"))),
        ("0.0000001", LengthError::TooFine(own("0.0000001"))),
        (&zeros, LengthError::TooFine(zeros.clone())),
        (&fine, LengthError::TooFine(fine.clone())),
        (&fine_32, LengthError::TooFine(fine_32.clone())),
        ("10000.0000001 mm", LengthError::TooLong(own("10000.0000001 mm"))),
        ("-394", LengthError::TooLong(own("-394"))),
        (&digits, LengthError::TooLong(digits.clone())),
        (&long_33, LengthError::TooLong(long_33.clone())),
    ];
    for (text, error) in table {
        assert_eq!(Length::parse(text, Unit::Inch), Err(error), "{text:?}");
    }
}

#[test]
fn every_error_says_what_to_do() {
    let errors = ["", "five", "1,234.5", "5 cm", "0.0000000001", "99999999"];
    for text in errors {
        let message = Length::parse(text, Unit::Inch).unwrap_err().to_string();
        assert!(
            message.contains("write") || message.contains("use") || message.contains("check"),
            "{message}"
        );
        assert!(text.is_empty() || message.contains(text) || message.contains("cm"), "{message}");
    }
}

#[test]
fn graduations_of_a_dial() {
    let tenth = inch("0.0001");
    let half_thou = inch("0.0005");
    let hundredth = mm("0.01");
    // Text, graduation, unit of the dial, tenths of a nanometre, unit and decimals to show.
    let table = [
        ("3", tenth, Unit::Inch, 76_200, Unit::Inch, 4),
        ("-3", tenth, Unit::Inch, -76_200, Unit::Inch, 4),
        ("\u{2212}3", tenth, Unit::Inch, -76_200, Unit::Inch, 4),
        ("+1.5", tenth, Unit::Inch, 38_100, Unit::Inch, 5),
        ("-0,5", tenth, Unit::Inch, -12_700, Unit::Inch, 5),
        ("1.5", half_thou, Unit::Inch, 190_500, Unit::Inch, 5),
        ("0.5", hundredth, Unit::Millimetre, 50_000, Unit::Millimetre, 3),
        ("0", hundredth, Unit::Millimetre, 0, Unit::Millimetre, 2),
        // A unit makes it a length, whatever the dial.
        ("-0.0003 in", hundredth, Unit::Millimetre, -76_200, Unit::Inch, 4),
        ("3 \u{b5}m", tenth, Unit::Inch, 30_000, Unit::Millimetre, 3),
    ];
    for (text, graduation, dial, tenths, unit, decimals) in table {
        let entry = Length::parse_graduations(text, graduation, dial).unwrap();
        assert_eq!(entry.length.tenths_of_nm(), tenths, "{text:?}");
        assert_eq!(entry.style, Style { unit, decimals }, "{text:?}");
    }
    let refused = |text| Length::parse_graduations(text, tenth, Unit::Inch).unwrap_err();
    assert_eq!(refused(" "), LengthError::Empty);
    assert_eq!(refused("a lot"), LengthError::NotANumber("a lot".into()));
    assert_eq!(refused("1.5 turns"), LengthError::UnknownUnit("turns".into()));
    assert_eq!(refused("0.000001"), LengthError::TooFine("0.000001".into()));
    assert_eq!(refused("4000000"), LengthError::TooLong("4000000".into()));
    // A dial that counts backwards is no way past the limit.
    let backwards = Length::parse_graduations("4000000", -tenth, Unit::Inch);
    assert_eq!(backwards, Err(LengthError::TooLong("4000000".into())));
}

#[test]
fn printing_rounds_half_away_from_zero_with_a_true_minus() {
    let style = |unit, decimals| Style { unit, decimals };
    let table = [
        (inch("5.12550"), style(Unit::Inch, 4), "5.1255 in"),
        (inch("5.12555"), style(Unit::Inch, 4), "5.1256 in"),
        (inch("5.125549"), style(Unit::Inch, 4), "5.1255 in"),
        (inch("-0.00005"), style(Unit::Inch, 4), "\u{2212}0.0001 in"),
        (inch("0.00005"), style(Unit::Inch, 4), "0.0001 in"),
        // Nothing left of it: no minus sign.
        (inch("-0.000049"), style(Unit::Inch, 4), "0.0000 in"),
        (inch("5.1255"), style(Unit::Inch, 6), "5.125500 in"),
        (mm("2.5"), style(Unit::Millimetre, 0), "3 mm"),
        (mm("-2.5"), style(Unit::Millimetre, 0), "\u{2212}3 mm"),
        (mm("0.0005"), style(Unit::Millimetre, 3), "0.001 mm"),
        (mm("130.19"), style(Unit::Millimetre, 3), "130.190 mm"),
        (inch("1"), style(Unit::Millimetre, 3), "25.400 mm"),
        (mm("96.96"), style(Unit::Inch, 4), "3.8173 in"),
        // More decimals than there are tenths of a nanometre are zero; 12 are the most shown.
        (mm("0.0000001"), style(Unit::Millimetre, 9), "0.000000100 mm"),
        (mm("1"), style(Unit::Millimetre, 255), "1.000000000000 mm"),
    ];
    for (length, style, text) in table {
        assert_eq!(length.text(style), text);
        assert_eq!(length.number(style), text.split(' ').next().unwrap());
    }
    assert_eq!(format!("[{:>4}]", Unit::Inch), "[  in]");
    assert_eq!(Style::usual(Unit::Inch), style(Unit::Inch, 4));
    assert_eq!(Style::usual(Unit::Millimetre), style(Unit::Millimetre, 3));
}

#[test]
fn the_fewest_decimals_that_are_exact() {
    let table = [
        (inch("5"), Unit::Inch, 0),
        (inch("5.1250"), Unit::Inch, 3),
        (inch("0.0000005"), Unit::Inch, 7),
        (inch("0.0001"), Unit::Millimetre, 5),
        (mm("0.01"), Unit::Millimetre, 2),
        // 0.01 mm is no finite decimal of an inch.
        (mm("0.01"), Unit::Inch, 4),
        (Length::ZERO, Unit::Inch, 0),
    ];
    for (length, unit, decimals) in table {
        assert_eq!(length.decimals(unit), decimals, "{length:?} in {unit}");
    }
}

#[test]
fn a_part_exactly_on_the_limit_is_within_it() {
    // Binary floats get this wrong, which is why lengths are whole numbers.
    assert!(std::hint::black_box(5.128_f64) - 5.125 > 0.003);
    assert!(inch("5.128") - inch("5.125") <= inch("0.003"));
    assert!(inch("5.127") - inch("5.125") <= inch("0.002"));
    assert!(inch("5.127001") - inch("5.125") > inch("0.002"));
    assert_eq!(inch("0.0020"), mm("0.0508"));
    assert_eq!(inch("1"), mm("25.4"));
    let mean = Mean::of_lengths([inch("5.1269"), inch("5.1270"), inch("5.1271")]).unwrap();
    assert!(mean - Mean::from(inch("5.125")) <= inch("0.002"));
    assert_eq!(mean, inch("5.1270"));
    let over = Mean::of_lengths([inch("5.1270"), inch("5.1270"), inch("5.127001")]).unwrap();
    assert!(over - Mean::from(inch("5.125")) > inch("0.002"));
}

/// US Army TM 9-2815-220-24, WP 0135: bore rows printed in inches and in millimetres (published digits).
#[test]
fn both_columns_of_a_printed_table_agree_exactly() {
    let pairs = [
        ("5.7510", "146.0754"),
        ("5.7530", "146.1262"),
        ("5.7600", "146.304"),
        ("5.7610", "146.3294"),
        ("5.7630", "146.3802"),
        ("5.7700", "146.558"),
        ("5.7710", "146.5834"),
        ("5.7730", "146.6342"),
        ("5.7800", "146.812"),
        ("5.7810", "146.8374"),
        ("5.7830", "146.8882"),
        ("5.7900", "147.066"),
        ("5.7910", "147.0914"),
        ("5.7930", "147.1422"),
        ("5.8000", "147.320"),
        ("0.0020", "0.0508"),
        ("0.0030", "0.0762"),
    ];
    for (in_inches, in_mm) in pairs {
        assert_eq!(inch(in_inches), mm(in_mm), "{in_inches} in = {in_mm} mm");
        let decimals = u8::try_from(in_mm.split('.').nth(1).unwrap().len()).unwrap();
        assert_eq!(inch(in_inches).number(Style { unit: Unit::Millimetre, decimals }), in_mm);
        assert_eq!(mm(in_mm).number(IN4), in_inches);
    }
}

#[test]
fn arithmetic_of_means() {
    let third = Mean::from(Length::from_tenths_of_nm(1)) / 3;
    assert_eq!(third + third + third, Length::from_tenths_of_nm(1));
    assert_eq!(third * 3, Length::from_tenths_of_nm(1));
    assert_eq!((third * 2 - third).as_length(), None);
    assert_eq!((third * 3).as_length(), Some(Length::from_tenths_of_nm(1)));
    assert_eq!(third.nearest(), Length::ZERO);
    assert_eq!((third * 2).nearest(), Length::from_tenths_of_nm(1));
    assert_eq!((-third * 2).nearest(), Length::from_tenths_of_nm(-1));
    assert_eq!((third * 3 / 2).nearest(), Length::from_tenths_of_nm(1), "half goes away from zero");
    assert_eq!((-third * 3 / 2).nearest(), Length::from_tenths_of_nm(-1), "half goes away from zero");
    assert!((-third).is_negative() && !third.is_negative() && !Mean::ZERO.is_negative());
    assert_eq!((-third).abs(), third);
    assert_eq!(third - third, Mean::ZERO);
    assert_eq!(third / 0, third);
    assert_eq!(third / -2, third);
    assert_eq!(Mean::default(), Length::ZERO);
    assert_eq!(Mean::of_lengths([]), None);
    assert_eq!(Mean::of([]), None);
    assert_eq!(Mean::of([third, third * 5]), Some(Mean::from(Length::from_tenths_of_nm(1))));
    assert!(third > Length::ZERO && third < Length::from_tenths_of_nm(1));
    assert_eq!(Mean::from(mm("2.5")).to_mm(), 2.5);
    // A mean of means weighs each alike, however many repeats it had.
    let once = Mean::of_lengths([inch("5.0")]).unwrap();
    let thrice = Mean::of_lengths([inch("5.2"), inch("5.2"), inch("5.2")]).unwrap();
    assert_eq!(Mean::of([once, thrice]).unwrap(), inch("5.1"));
}

#[test]
fn arithmetic_of_lengths() {
    assert_eq!(inch("5.1") - inch("5.2"), -inch("0.1"));
    assert_eq!((inch("5.1") - inch("5.2")).abs(), inch("0.1"));
    assert_eq!(inch("0.1") * 3, inch("0.3"));
    assert_eq!([inch("0.1"), inch("0.2")].into_iter().sum::<Length>(), inch("0.3"));
    let mut total = inch("0.1");
    total += inch("0.2");
    assert_eq!(total, inch("0.3"));
    assert_eq!(inch("1").to_mm(), 25.4);
    assert_eq!(Length::from_mm(25.4), Some(inch("1")));
    assert_eq!(Length::from_mm(-0.000_000_05), Some(Length::from_tenths_of_nm(-1)));
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
        assert_eq!(Length::from_mm(bad), None);
    }
    assert_eq!(Unit::Inch.from_mm(25.4), 1.0);
    assert_eq!(Unit::Millimetre.from_mm(25.4), 25.4);
    assert_eq!((Unit::Inch.other(), Unit::Millimetre.other()), (Unit::Millimetre, Unit::Inch));
}

#[test]
fn decimal_text_for_other_programs() {
    let third = Mean::of_lengths([inch("1"), inch("0"), inch("0")]).unwrap();
    let table = [
        (Mean::from(inch("5.1250")), Unit::Inch, "5.125", true),
        (Mean::from(inch("-5.1250")), Unit::Inch, "-5.125", true),
        (Mean::from(inch("10")), Unit::Inch, "10", true),
        (Mean::ZERO, Unit::Millimetre, "0", true),
        (Mean::from(inch("0.0001")), Unit::Millimetre, "0.00254", true),
        (Mean::from(mm("0.0000001")), Unit::Millimetre, "0.0000001", true),
        (Mean::from(mm("1")), Unit::Inch, "0.039370078740", false),
        (third, Unit::Inch, "0.333333333333", false),
        (third * -2, Unit::Inch, "-0.666666666667", false),
        (third, Unit::Millimetre, "8.466666666667", false),
        // Half a tenth of a nanometre is still a finite decimal.
        (Mean::from(mm("0.0000001")) / 2, Unit::Millimetre, "0.00000005", true),
    ];
    for (mean, unit, text, exact) in table {
        assert_eq!(mean.decimal_text(unit), (text.to_owned(), exact));
    }
}

/// The largest barrel that a record can hold (480 cells of up to 50 repeats), with the longest lengths that
/// a text can give and the repeats and averages that give the worst denominators: every figure still fits.
#[test]
fn the_worst_barrel_does_not_overflow() {
    let longest = Length::from_tenths_of_nm(LONGEST);
    let cell = |station: i64, axis: i64| {
        // Powers of primes up to 50 at every station, and sums that share no divisor with them.
        let repeats =
            [32, 27, 25, 49, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47][(station + axis) as usize % 15];
        let odd_one = longest - Length::from_tenths_of_nm(1 + 7_919 * station + 104_729 * axis);
        Mean::of_lengths((0..repeats).map(|r| if r == 0 { odd_one } else { longest })).unwrap()
    };
    // The average over some stations of the average over some axes.
    let nested = |stations: i64, axes: i64| {
        let station = |s| Mean::of((0..axes).map(|a| cell(s, a))).unwrap();
        Mean::of((0..stations).map(station)).unwrap()
    };
    let figures = [nested(37, 11), nested(31, 12), nested(40, 12), -nested(29, 7), -nested(39, 12)];
    for a in figures {
        assert!(a.abs() < longest && a.abs() > Length::ZERO);
        for b in figures {
            let apart = (a - b).abs();
            assert!(apart < Mean::from(longest) * 2);
            assert_eq!(a.cmp(&b), b.cmp(&a).reverse());
            assert_eq!(b + (a - b), a);
            assert!(!apart.text(MM3).is_empty() && !apart.decimal_text(Unit::Inch).0.is_empty());
        }
    }
}

/// Two values of about 10 m over denominators that share no divisor.
fn of_bits(p: u32, q: u32) -> [Mean; 2] {
    let tenth = Mean::from(Length(1));
    [1_i64 << p, (1 << q) - 1].map(|by| Mean::from(Length(LONGEST)) - tenth / by)
}

/// The least common multiple of the denominators is just under 2^89, and every operation is exact.
#[test]
fn a_mean_has_the_room_that_it_says() {
    let [a, b] = of_bits(44, 45);
    assert_eq!((a.count, b.count), (1 << 44, (1 << 45) - 1));
    assert!(a < b && -b < -a && a != b);
    assert_eq!(b - a + a, b);
    assert_eq!(a + b - b, a);
    assert_eq!(-a - b + b, -a);
    assert_eq!((a + b).count, a.count * b.count);
    assert_eq!((a + b).text(MM3), "20000.000 mm");
    assert_eq!((a - b).text(MM3), "0.000 mm");
}

/// Two bits more, and no wrong figure comes out: the program is built to stop instead.
#[test]
#[should_panic(expected = "overflow")]
fn beyond_its_room_a_mean_gives_no_figure() {
    let [a, b] = of_bits(45, 46);
    let _ = a + b;
}

/// Averages of two stations, over 12 and 11 axes, of cells that hold up to so many readings.
#[test]
fn records_leave_room_in_a_mean() {
    let multiple = |most: i128, averaged: i128| {
        (1..=most).fold(1_i128, |all, n| all / greatest_common_divisor(all, n) * n) * averaged
    };
    assert!(multiple(50, 1) < 1 << 72 && multiple(50, 12 * 11) < 1 << 79 && multiple(50, 480) < 1 << 81);
    assert!(multiple(58, 12 * 11) <= 1 << 89 && multiple(59, 12 * 11) > 1 << 89);
    assert!(i128::from(LONGEST) < 1 << 37);
}

/// Any length that a text can give.
fn lengths() -> impl Strategy<Value = Length> {
    prop_oneof![-LONGEST..=LONGEST, -10_000_i64..=10_000].prop_map(Length)
}

/// Means of up to 50 repeats of some bore, or anything else.
fn means() -> impl Strategy<Value = Mean> {
    prop::collection::vec(lengths(), 1..=6).prop_map(|l| Mean::of_lengths(l).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn printed_and_read_again_is_the_same(length in lengths(), sheet in prop_oneof![Just(Unit::Inch), Just(Unit::Millimetre)]) {
        let style = Style { unit: Unit::Millimetre, decimals: 7 };
        let entry = Length::parse(&length.text(style), sheet).unwrap();
        prop_assert_eq!(entry, Entry { length, style });
        // Half a microinch is the coarsest step that is a finite decimal of an inch.
        let length = Length(length.0 / 127 * 127);
        let style = Style { unit: Unit::Inch, decimals: 7 };
        let entry = Length::parse(&length.text(style), sheet).unwrap();
        prop_assert_eq!(entry, Entry { length, style });
        let (text, exact) = Mean::from(length).decimal_text(Unit::Inch);
        prop_assert!(exact);
        prop_assert_eq!(Length::parse(&text, Unit::Inch).unwrap().length, length);
        let fewest = Style { unit: Unit::Inch, decimals: length.decimals(Unit::Inch) };
        prop_assert_eq!(Length::parse(&length.text(fewest), sheet).unwrap().length, length);
    }

    #[test]
    fn showing_never_changes_what_is_stored(length in lengths(), decimals in 0..9_u8) {
        let before = length.tenths_of_nm();
        let mean = Mean::from(length);
        for unit in [Unit::Inch, Unit::Millimetre] {
            let style = Style { unit, decimals };
            let shown = length.text(style);
            prop_assert_eq!(&mean.text(style), &shown);
            mean.decimal_text(unit);
            // What is shown is within half of its last digit.
            let digit = 10_f64.powi(-i32::from(decimals));
            let read: f64 = length.number(style).replace('\u{2212}', "-").parse().unwrap();
            prop_assert!((read - unit.from_mm(length.to_mm())).abs() <= digit / 2.0 * 1.000_001 + 1e-11);
        }
        prop_assert_eq!(length.tenths_of_nm(), before);
        prop_assert_eq!(mean.as_length(), Some(length));
        prop_assert_eq!(Length::from_mm(length.to_mm()), Some(length));
    }

    #[test]
    fn sums_do_not_depend_on_order(a in lengths(), b in lengths(), c in lengths()) {
        prop_assert_eq!(a + b, b + a);
        prop_assert_eq!((a + b) + c, a + (b + c));
        prop_assert_eq!(a - b, -(b - a));
        prop_assert_eq!(a - b - c, a - (b + c));
        prop_assert_eq!(a + b - b, a);
    }

    #[test]
    fn sums_of_means_do_not_depend_on_order(a in means(), b in means(), c in means()) {
        prop_assert_eq!(a + b, b + a);
        prop_assert_eq!((a + b) + c, a + (b + c));
        prop_assert_eq!(a - b, -(b - a));
        prop_assert_eq!(a + b - b, a);
        prop_assert_eq!(a * 3 / 3, a);
        prop_assert_eq!(Mean::of([a, b, c]), Mean::of([c, a, b]));
    }

    #[test]
    fn means_are_ordered_as_fractions_are(
        a in prop::collection::vec(-1_000_i64..1_000, 1..=50),
        b in prop::collection::vec(-1_000_i64..1_000, 1..=50),
    ) {
        let mean = |values: &[i64]| Mean::of_lengths(values.iter().map(|&v| Length(v))).unwrap();
        let sum = |values: &[i64]| values.iter().sum::<i64>();
        let count = |values: &[i64]| i64::try_from(values.len()).unwrap();
        let fractions = (sum(&a) * count(&b)).cmp(&(sum(&b) * count(&a)));
        prop_assert_eq!(mean(&a).cmp(&mean(&b)), fractions);
        prop_assert_eq!(mean(&a) == mean(&b), fractions == Ordering::Equal);
    }

    #[test]
    fn a_mean_does_not_depend_on_order(values in prop::collection::vec(lengths(), 1..=50), turn in 0..50_usize) {
        let mut turned = values.clone();
        turned.rotate_left(turn % values.len());
        let backwards = values.iter().rev().copied();
        prop_assert_eq!(Mean::of_lengths(values.iter().copied()), Mean::of_lengths(turned));
        prop_assert_eq!(Mean::of_lengths(values.iter().copied()), Mean::of_lengths(backwards));
        let mean = Mean::of_lengths(values.iter().copied()).unwrap();
        let (least, most) = (values.iter().min().unwrap(), values.iter().max().unwrap());
        prop_assert!(mean >= *least && mean <= *most);
    }

    #[test]
    fn no_text_panics(
        text in prop_oneof!["\\PC*", "[-+\u{2212}0-9., \u{b5}minthou\"']{0,12}", "[-+]?[0-9]{0,60}[.,]?[0-9]{0,300}( mm| in)?"],
        graduation in lengths(),
    ) {
        for unit in [Unit::Inch, Unit::Millimetre] {
            if let Ok(entry) = Length::parse(&text, unit) {
                prop_assert!(entry.length.abs() <= Length(LONGEST));
                prop_assert!(!entry.length.text(entry.style).is_empty());
            }
            if let Ok(entry) = Length::parse_graduations(&text, graduation, unit) {
                prop_assert!(entry.length.abs() <= Length(LONGEST));
            }
        }
    }
}

#[test]
fn what_a_program_worked_out_keeps_as_many_digits_as_can_be_kept() {
    let cut = |text, graduation: Option<&str>| {
        let graduation = graduation.map(|text| Length::parse(text, Unit::Inch).unwrap().length);
        Length::rounded_to_keep(text, Unit::Inch, graduation)
    };
    for (text, graduation, kept) in [
        ("5.13533333333333", None, Some("5.135333")),
        ("5.1353335", None, Some("5.135334")),
        ("-0.00000049999999", None, Some("-0.000000")),
        ("+0.00020049999", None, Some("+0.000200")),
        ("130.437466666667 mm", None, Some("130.4374667 mm")),
        ("3.00041 thou", None, Some("3.000 thou")),
        ("12.5 µin", None, Some("13 µin")),
        ("+2.33333", Some("0.0001"), Some("+2.33")),
        ("2.3333", Some("0.01 mm"), None),
        ("2.333333", Some("0.01 mm"), Some("2.33333")),
        ("5.1255", None, None),
        ("five", None, None),
        ("5.12555555 furlong", None, None),
    ] {
        assert_eq!(cut(text, graduation).as_deref(), kept, "{text}");
        if let Some(kept) = kept {
            Length::parse(kept, Unit::Inch).expect(kept);
        }
    }
}
