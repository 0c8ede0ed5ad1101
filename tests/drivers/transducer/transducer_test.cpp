// The way from what a device sends to a temperature or a distinct fault, and back.
#include "drivers/transducer/transducer.hpp"

#include <cmath>
#include <limits>
#include <vector>

#include "drivers/transducer/platinum.hpp"
#include "drivers/transducer/self_heating.hpp"
#include "drivers/transducer/thermistor.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using Broken = TransducerFault;

namespace {

constexpr SteinhartHart law_10k{1.129148e-3, 2.34125e-4, 8.76741e-8};

Transducer made(const TransducerSettings& settings, RawUnit unit) {
  auto transducer = Transducer::make(settings, unit);
  REQUIRE(transducer.ok());
  return *transducer;
}

TransducerSettings thermistor(std::optional<Divider> divider = {},
                              std::optional<SelfHeating> heating = {}) {
  return ThermistorSettings{law_10k, divider, heating};
}

struct Probe {
  const char* name;
  TransducerSettings settings;
  RawUnit unit;
  double lowest_degC, highest_degC;  ///< where it is used here
};

std::vector<Probe> probes() {
  const Divider below{10'000.0, true, 1023.0};
  const Divider above{4'700.0, false, 3300.0};
  const SelfHeating heating{1.0, 5.0, 0.0};
  return {
      {"degC", {}, RawUnit::degC, -50, 150},
      {"degF", {}, RawUnit::degF, -50, 150},
      {"K", {}, RawUnit::kelvin, -50, 150},
      {"thermistor, ohm", thermistor(), RawUnit::ohm, -60, 250},
      {"thermistor, count", thermistor(below), RawUnit::count, -40, 140},
      {"thermistor, mV", thermistor(above), RawUnit::millivolt, -60, 250},
      {"thermistor, warm", thermistor(below, heating), RawUnit::count, -40, 140},
      {"thermistor, constant current", thermistor({}, SelfHeating{1.0, 0.0, 0.1}), RawUnit::ohm, 0,
       100},
      {"type K, fixed", ThermocoupleSettings{ThermocoupleType::K, 23.0}, RawUnit::microvolt, -200,
       1372},
      {"type T, mV", ThermocoupleSettings{ThermocoupleType::T, 0.0}, RawUnit::millivolt, -270, 400},
      {"type S, V", ThermocoupleSettings{ThermocoupleType::S, 20.0}, RawUnit::volt, -50, 1768},
      {"Pt100, 2 wires", PlatinumSettings{100.0, 2, 0.5, {}, {}}, RawUnit::ohm, -200, 850},
      {"Pt1000, count", PlatinumSettings{1000.0, 2, 0.5, Divider{2'200.0, true, 65'536.0}, heating},
       RawUnit::count, -200, 800},
  };
}

Broken fault_of(const Conversion& conversion) {
  REQUIRE(std::holds_alternative<Broken>(conversion));
  return std::get<Broken>(conversion);
}

}  // namespace

TEST_CASE("temperature to raw value and back") {
  for (const Probe& probe : probes()) {
    INFO(probe.name);
    const Transducer transducer = made(probe.settings, probe.unit);
    for (int i = 0; i <= 1000; ++i) {
      const double degC =
          probe.lowest_degC + 0.5 + (probe.highest_degC - probe.lowest_degC - 1.0) * i / 1000;
      const Conversion raw = transducer.to_raw(degC);
      REQUIRE(std::holds_alternative<double>(raw));
      const Conversion back = transducer.to_degC(std::get<double>(raw));
      REQUIRE(std::holds_alternative<double>(back));
      REQUIRE_THAT(std::get<double>(back), WithinAbs(degC, 1e-7));
    }
  }
}

TEST_CASE("a raw value moves one way with temperature") {
  for (const Probe& probe : probes()) {
    INFO(probe.name);
    const Transducer transducer = made(probe.settings, probe.unit);
    double before = 0.0;
    int rises = 0;
    constexpr int steps = 500;
    for (int i = 0; i <= steps; ++i) {
      const double degC =
          probe.lowest_degC + 0.5 + (probe.highest_degC - probe.lowest_degC - 1.0) * i / steps;
      const double raw = std::get<double>(transducer.to_raw(degC));
      rises += i > 0 && raw > before ? 1 : 0;
      before = raw;
    }
    CHECK((rises == 0 || rises == steps));
  }
}

TEST_CASE("nothing that is no number becomes a temperature, and no temperature is no number") {
  for (const Probe& probe : probes()) {
    INFO(probe.name);
    const Transducer transducer = made(probe.settings, probe.unit);
    for (const double raw :
         {std::nan(""), HUGE_VAL, -HUGE_VAL, std::numeric_limits<double>::signaling_NaN()}) {
      CHECK(fault_of(transducer.to_degC(raw)) == Broken::out_of_range);
      CHECK(fault_of(transducer.to_raw(raw)) == Broken::out_of_range);
    }
    for (double size = 1e-320; size < 1e308; size *= 7.3) {
      for (const double raw : {size, -size, 0.0}) {
        const Conversion found = transducer.to_degC(raw);
        if (const auto* const degC = std::get_if<double>(&found)) {
          REQUIRE(std::isfinite(*degC));
          REQUIRE(*degC >= -273.15);
        }
      }
    }
  }
}

TEST_CASE("open, short and out of range are told apart for a thermistor's divider") {
  const Transducer below = made(thermistor(Divider{10'000.0, true, 1024.0}), RawUnit::count);
  const Transducer above = made(thermistor(Divider{10'000.0, false, 1024.0}), RawUnit::count);
  for (const double code : {1023.0, 1024.0, 1040.0}) {  // 1023 is the last of a 10-bit converter
    CHECK(fault_of(below.to_degC(code)) == Broken::open_circuit);
    CHECK(fault_of(above.to_degC(code)) == Broken::short_circuit);
  }
  for (const double code : {-3.0, 0.0, 1.0}) {
    CHECK(fault_of(below.to_degC(code)) == Broken::short_circuit);
    CHECK(fault_of(above.to_degC(code)) == Broken::open_circuit);
  }
  for (const double code : {-100.0, 2.0, 1021.0, 1100.0, 65535.0}) {
    INFO(code);
    CHECK(fault_of(below.to_degC(code)) == Broken::out_of_range);
  }
  const double middle = std::get<double>(below.to_degC(512.0));
  CHECK_THAT(middle, WithinAbs(24.9997, 5.01e-5));  // 10 kohm
  CHECK(std::get<double>(above.to_degC(512.0)) == middle);

  const Transducer ratio = made(thermistor(Divider{10'000.0, true, 1.0}), RawUnit::ratio);
  CHECK(fault_of(ratio.to_degC(0.9995)) == Broken::open_circuit);
  CHECK(fault_of(ratio.to_degC(0.0005)) == Broken::short_circuit);
  CHECK(fault_of(ratio.to_degC(512.0)) == Broken::out_of_range);
}

TEST_CASE("open, short and out of range are told apart for resistances") {
  const Transducer ntc = made(thermistor(), RawUnit::ohm);
  CHECK(fault_of(ntc.to_degC(0.0)) == Broken::short_circuit);
  CHECK(fault_of(ntc.to_degC(2.0)) == Broken::short_circuit);
  CHECK(fault_of(ntc.to_degC(15.0)) == Broken::out_of_range);
  CHECK(fault_of(ntc.to_degC(8e6)) == Broken::out_of_range);
  CHECK(fault_of(ntc.to_degC(2e7)) == Broken::open_circuit);
  CHECK(fault_of(ntc.to_degC(-5.0)) == Broken::short_circuit);

  const Transducer pt = made(PlatinumSettings{}, RawUnit::ohm);
  CHECK(fault_of(pt.to_degC(0.2)) == Broken::short_circuit);
  CHECK(fault_of(pt.to_degC(15.0)) == Broken::out_of_range);
  CHECK(fault_of(pt.to_degC(400.0)) == Broken::out_of_range);
  CHECK(fault_of(pt.to_degC(460.0)) == Broken::open_circuit);
  CHECK(fault_of(pt.to_degC(9.9e37)) == Broken::open_circuit);
  CHECK(std::holds_alternative<double>(pt.to_degC(109.7347)));
}

TEST_CASE("a thermocouple shows an open junction and its range, never a short one") {
  const Transducer k = made(ThermocoupleSettings{ThermocoupleType::K, 23.0}, RawUnit::microvolt);
  CHECK(fault_of(k.to_degC(78'125.0)) == Broken::open_circuit);
  CHECK(fault_of(k.to_degC(-78'125.0)) == Broken::open_circuit);
  CHECK(fault_of(k.to_degC(55'000.0)) == Broken::out_of_range);
  CHECK(fault_of(k.to_degC(-8'000.0)) == Broken::out_of_range);
  CHECK_THAT(std::get<double>(k.to_degC(0.0)), WithinAbs(23.0, 1e-6));
  // Published worked check, see thermocouple_test.cpp.
  CHECK_THAT(std::get<double>(k.to_degC(1100.0)), WithinAbs(49.90793, 5.001e-6));

  const Transducer mV = made(ThermocoupleSettings{ThermocoupleType::K, 23.0}, RawUnit::millivolt);
  const Transducer V = made(ThermocoupleSettings{ThermocoupleType::K, 23.0}, RawUnit::volt);
  CHECK_THAT(std::get<double>(mV.to_degC(1.1)), WithinAbs(49.90793, 5.001e-6));
  CHECK_THAT(std::get<double>(V.to_degC(0.0011)), WithinAbs(49.90793, 5.001e-6));

  const Transducer b = made(ThermocoupleSettings{ThermocoupleType::B, 20.0}, RawUnit::microvolt);
  CHECK(fault_of(b.to_degC(0.0)) == Broken::out_of_range);
  CHECK(std::holds_alternative<double>(b.to_degC(40.0)));
}

TEST_CASE("a cold junction from elsewhere is needed, used, and gives way to a fixed one") {
  const Transducer elsewhere = made(ThermocoupleSettings{}, RawUnit::microvolt);
  CHECK(fault_of(elsewhere.to_degC(1100.0)) == Broken::no_cold_junction);
  CHECK(fault_of(elsewhere.to_degC(1100.0, std::nan(""))) == Broken::no_cold_junction);
  CHECK(fault_of(elsewhere.to_raw(50.0)) == Broken::no_cold_junction);
  CHECK(fault_of(elsewhere.to_degC(1100.0, -300.0)) == Broken::out_of_range);
  CHECK_THAT(std::get<double>(elsewhere.to_degC(1100.0, 23.0)), WithinAbs(49.90793, 5.001e-6));
  const Transducer fixed =
      made(ThermocoupleSettings{ThermocoupleType::K, 23.0}, RawUnit::microvolt);
  CHECK_THAT(std::get<double>(fixed.to_degC(1100.0, 99.0)), WithinAbs(49.90793, 5.001e-6));
}

TEST_CASE("what a transducer does not take is a wrong unit, whatever the number") {
  const Divider divider{};
  const std::vector<std::pair<TransducerSettings, std::vector<RawUnit>>> wrong{
      {{}, {RawUnit::ohm, RawUnit::count, RawUnit::ratio, RawUnit::microvolt}},
      {thermistor(),
       {RawUnit::degC, RawUnit::degF, RawUnit::kelvin, RawUnit::count, RawUnit::volt}},
      {thermistor(divider), {RawUnit::ohm, RawUnit::degC}},
      {ThermocoupleSettings{}, {RawUnit::degC, RawUnit::ohm, RawUnit::count, RawUnit::ratio}},
      {PlatinumSettings{}, {RawUnit::degC, RawUnit::ratio, RawUnit::millivolt}},
  };
  for (const auto& [settings, units] : wrong) {
    for (const RawUnit unit : units) {
      INFO(unit_name(unit));
      const Transducer transducer = made(settings, unit);
      CHECK(fault_of(transducer.to_degC(0.5, 20.0)) == Broken::wrong_unit);
      CHECK(fault_of(transducer.to_degC(std::nan(""))) == Broken::wrong_unit);
      CHECK(fault_of(transducer.to_raw(25.0, 20.0)) == Broken::wrong_unit);
    }
  }
}

TEST_CASE("self-heating is taken off, lead resistance as well") {
  const Divider divider{10'000.0, true, 1.0};
  const Transducer cool = made(thermistor(divider), RawUnit::ratio);
  const Transducer warm = made(thermistor(divider, SelfHeating{7.5, 5.0, 0.0}), RawUnit::ratio);
  // 0.625 mW at 10 kohm over 7.5 mW/K.
  CHECK_THAT(std::get<double>(cool.to_degC(0.5)) - std::get<double>(warm.to_degC(0.5)),
             WithinAbs(0.625 / 7.5, 1e-12));
  const Transducer two = made(PlatinumSettings{100.0, 2, 0.25, {}, {}}, RawUnit::ohm);
  CHECK_THAT(std::get<double>(two.to_degC(110.2347)), WithinAbs(25.0, 2e-4));
  const Transducer three = made(PlatinumSettings{100.0, 3, 0.5, {}, {}}, RawUnit::ohm);
  CHECK(std::get<double>(three.to_degC(110.2347)) == std::get<double>(two.to_degC(110.2347)));
}

TEST_CASE("settings that cannot be carried out are refused") {
  const std::vector<TransducerSettings> wrong{
      ThermistorSettings{SteinhartHart{}, {}, {}},
      thermistor(Divider{0.0, true, 1.0}),
      thermistor(Divider{10'000.0, true, 0.0}),
      thermistor(Divider{10'000.0, true, 1.0}, SelfHeating{0.0, 5.0, 0.0}),
      ThermocoupleSettings{ThermocoupleType::B, -5.0},
      PlatinumSettings{0.0, 4, 0.0, {}, {}},
      PlatinumSettings{100.0, 5, 0.0, {}, {}},
      PlatinumSettings{100.0, 2, -1.0, {}, {}},
  };
  for (const TransducerSettings& settings : wrong) {
    const auto transducer = Transducer::make(settings, RawUnit::ohm);
    REQUIRE_FALSE(transducer.ok());
    CHECK(transducer.error().kind == Fault::bad_configuration);
    CHECK_THAT(transducer.error().text, ContainsSubstring("expected"));
  }
}

TEST_CASE("every fault has its own text") {
  CHECK(fault_text(Broken::open_circuit) == "open circuit");
  CHECK(fault_text(Broken::short_circuit) == "short circuit");
  CHECK(fault_text(Broken::out_of_range) == "out of range");
  CHECK(fault_text(Broken::no_cold_junction) == "no cold junction");
  CHECK(fault_text(Broken::wrong_unit) == "wrong unit");
}
