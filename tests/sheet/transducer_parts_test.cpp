// The table `transducer` of a probe: what it gives, and every problem with line, key and a way out.
#include "core/sheet/transducer_parts.hpp"

#include <fmt/format.h>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

struct Outcome {
  TransducerPart part;
  std::vector<Error> problems;
};

Outcome read(const std::string& transducer, RawUnit unit) {
  ProblemList problems("/lab/b.toml", Fault::bad_configuration);
  const auto table = parse_toml(
      fmt::format("[[probe]]\nunit = \"{}\"\n{}\n", unit_name(unit), transducer), problems);
  REQUIRE(table.has_value());
  TomlSection file(*table, "", problems);
  std::vector<TomlSection> probes = file.tables("probe");
  (void)probes.at(0).text("unit");
  Outcome outcome;
  outcome.part = read_transducer(probes.at(0), unit);
  probes.at(0).refuse_other_keys();
  outcome.problems = problems.in_order();
  return outcome;
}

/// The inline table, on line 3.
std::string inline_table(const std::string& keys) {
  return "transducer = { " + keys + " }";
}

template <class Kind>
Kind good(const std::string& keys, RawUnit unit) {
  const Outcome outcome = read(inline_table(keys), unit);
  for (const Error& problem : outcome.problems) FAIL_CHECK(problem.text);
  REQUIRE(std::holds_alternative<Kind>(outcome.part.settings));
  return std::get<Kind>(outcome.part.settings);
}

struct WrongPart {
  std::string keys;
  RawUnit unit;
  const char* where;
  const char* advice;
};

void check_wrong(const WrongPart& wrong) {
  INFO(wrong.keys);
  const Outcome outcome = read(inline_table(wrong.keys), wrong.unit);
  REQUIRE_FALSE(outcome.problems.empty());
  const std::string& text = outcome.problems.front().text;
  CHECK_THAT(text, StartsWith(std::string("/lab/b.toml:3: [[probe]] transducer") + wrong.where));
  CHECK_THAT(text, ContainsSubstring(wrong.advice));
}

const std::string divider = ", series_ohm = 9970.0, probe = \"above\"";
const std::string beta = "kind = \"thermistor\", beta_K = 3950.0, at_ohm = 10000.0";

}  // namespace

TEST_CASE("the three laws of a thermistor") {
  const auto coefficients = good<ThermistorSettings>(
      "kind = \"thermistor\", a = 1.129148e-3, b = 2.34125e-4, c = 8.76741e-8", RawUnit::ohm);
  const auto& law = std::get<SteinhartHart>(coefficients.law);
  CHECK(law.a == 1.129148e-3);
  CHECK(law.b == 2.34125e-4);
  CHECK(law.c == 8.76741e-8);
  CHECK_FALSE(coefficients.divider.has_value());
  CHECK_FALSE(coefficients.self_heating.has_value());

  const auto by_beta =
      std::get<BetaLaw>(good<ThermistorSettings>(beta + ", at_degC = 20", RawUnit::ohm).law);
  CHECK(by_beta.beta_K == 3950.0);
  CHECK(by_beta.at_ohm == 10'000.0);
  CHECK(by_beta.at_degC == 20.0);
  CHECK(std::get<BetaLaw>(good<ThermistorSettings>(beta, RawUnit::ohm).law).at_degC == 25.0);

  const auto points = std::get<ThermistorPoints>(
      good<ThermistorSettings>(
          "kind = \"thermistor\", points = [[32128, 0], [9814.0, 25], [3542, 50.0]]", RawUnit::ohm)
          .law);
  CHECK(points.pairs[0].ohm == 32128.0);
  CHECK(points.pairs[1].degC == 25.0);
  CHECK(points.pairs[2].ohm == 3542.0);
}

TEST_CASE("a divider and what heats the probe") {
  const auto thermistor = good<ThermistorSettings>(
      beta + divider + ", full_scale = 1023, dissipation_mW_per_K = 7, supply_V = 5.0",
      RawUnit::count);
  REQUIRE(thermistor.divider.has_value());
  CHECK(thermistor.divider->series_ohm == 9970.0);
  CHECK_FALSE(thermistor.divider->probe_below);
  CHECK(thermistor.divider->full_scale == 1023.0);
  REQUIRE(thermistor.self_heating.has_value());
  CHECK(thermistor.self_heating->dissipation_mW_per_K == 7.0);
  CHECK(thermistor.self_heating->supply_V == 5.0);
  CHECK(thermistor.self_heating->current_mA == 0.0);
  CHECK(good<ThermistorSettings>(beta + divider, RawUnit::ratio).divider->full_scale == 1.0);
  const auto below = good<ThermistorSettings>(
      beta + ", series_ohm = 1e4, probe = \"below\", full_scale = 3.3", RawUnit::volt);
  CHECK(below.divider->probe_below);
  CHECK(good<ThermistorSettings>(beta + ", dissipation_mW_per_K = 1.5, current_mA = 0.1",
                                 RawUnit::ohm)
            .self_heating->current_mA == 0.1);
}

TEST_CASE("a thermocouple with a fixed cold junction or another channel's") {
  const std::string letters = "BEJKNRST";
  for (std::size_t i = 0; i < letters.size(); ++i) {
    const auto couple = good<ThermocoupleSettings>(
        fmt::format("kind = \"thermocouple\", type = \"{}\", cold_degC = 22.5", letters[i]),
        RawUnit::microvolt);
    CHECK(static_cast<std::size_t>(couple.type) == i);
    CHECK(thermocouple_letter(couple.type) == letters[i]);
    CHECK(couple.cold_degC == 22.5);
  }
  const Outcome outcome =
      read(inline_table("kind = \"thermocouple\", type = \"K\", cold = { column = 2, oddity = 1 }"),
           RawUnit::millivolt);
  CHECK(outcome.problems.empty());
  CHECK(outcome.part.has_cold_channel);
  CHECK_FALSE(std::get<ThermocoupleSettings>(outcome.part.settings).cold_degC.has_value());
  CHECK_FALSE(
      read(inline_table("kind = \"thermocouple\", type = \"K\", cold_degC = 20"), RawUnit::volt)
          .part.has_cold_channel);
}

TEST_CASE("platinum") {
  const auto plain = good<PlatinumSettings>("kind = \"platinum\"", RawUnit::ohm);
  CHECK(plain.r0_ohm == 100.0);
  CHECK(plain.wires == 4);
  CHECK(plain.lead_ohm == 0.0);
  const auto two = good<PlatinumSettings>(
      "kind = \"platinum\", r0_ohm = 1000, wires = 2, lead_ohm = 0.35" + divider, RawUnit::ratio);
  CHECK(two.r0_ohm == 1000.0);
  CHECK(two.wires == 2);
  CHECK(two.lead_ohm == 0.35);
  CHECK(two.divider->series_ohm == 9970.0);
}

TEST_CASE("a unit of temperature needs no transducer, any other needs one") {
  CHECK(read("", RawUnit::degC).problems.empty());
  CHECK(std::holds_alternative<std::monostate>(read("", RawUnit::kelvin).part.settings));
  for (const RawUnit unit : {RawUnit::ohm, RawUnit::count, RawUnit::ratio, RawUnit::microvolt}) {
    const Outcome outcome = read("", unit);
    REQUIRE(outcome.problems.size() == 1);
    CHECK_THAT(
        outcome.problems[0].text,
        StartsWith(fmt::format("/lab/b.toml:2: [[probe]] unit: is \"{}\"", unit_name(unit))));
    CHECK_THAT(outcome.problems[0].text, ContainsSubstring("transducer = { kind = "));
  }
}

TEST_CASE("what does not fit is said with the key and a way out") {
  const RawUnit ohm = RawUnit::ohm;
  const RawUnit count = RawUnit::count;
  const RawUnit uV = RawUnit::microvolt;
  const std::string couple = "kind = \"thermocouple\", type = \"K\"";
  const std::vector<WrongPart> table{
      {"a = 1e-3", ohm, ".kind: is missing", "\"thermocouple\""},
      {"kind = \"termistor\"", ohm, ".kind: ", "did you mean \"thermistor\"?"},
      {beta, RawUnit::degC, ": is there, but the probe's unit is \"degC\"", "unit = \"ohm\""},
      {beta, count, ".series_ohm: is missing", "10000.0"},
      {beta + ", series_ohm = 1e4, full_scale = 1023", count, ".probe: is missing", "\"below\""},
      {beta + divider, count, ".full_scale: is missing", "1023"},
      {beta + divider, RawUnit::millivolt, ".full_scale: is missing", "in mV"},
      {beta + divider, ohm, ": has a divider", "leave those keys out"},
      {beta + ", series_ohm = 0, probe = \"below\"", RawUnit::ratio, ".series_ohm: is 0", "more"},
      {beta + ", series_ohm = 1e4, probe = \"bellow\"", RawUnit::ratio,
       ".probe: ", "did you mean \"below\"?"},
      {"kind = \"thermistor\"", ohm, ": does not say what law", "Steinhart-Hart"},
      {beta + ", a = 1e-3, b = 2e-4, c = 1e-7", ohm, ": says in more than one way", "expected one"},
      {"kind = \"thermistor\", a = 1e-3, b = 2e-4", ohm, ".c: is missing", "a number"},
      {"kind = \"thermistor\", a = 1e-3, b = -2e-4, c = 1e-7", ohm, ".b: is -0.0002",
       "more than 0"},
      {"kind = \"thermistor\", a = 1e-2, b = 2.3e-4, c = 9e-8", ohm, ": a = 0.01", "powers of ten"},
      {"kind = \"thermistor\", a = 1e-3, b = 2.3e-3, c = 9e-8", ohm, ": a = 0.001",
       "powers of ten"},
      {"kind = \"thermistor\", a = 1e-3, b = 2.3e-5, c = 9e-8", ohm, ": a = 0.001",
       "powers of ten"},
      {"kind = \"thermistor\", a = 1e-3, b = 2.3e-4, c = 9e-6", ohm, ": a = 0.001",
       "powers of ten"},
      {"kind = \"thermistor\", beta_K = 395.0, at_ohm = 1e4", ohm, ".beta_K: is 395",
       "at least 1500"},
      {"kind = \"thermistor\", beta_K = 3950.0", ohm, ".at_ohm: is missing", "a number"},
      {"kind = \"thermistor\", points = [[1e4, 25], [5e3, 40]]", ohm, ".points: has 2 entries",
       "three pairs"},
      {"kind = \"thermistor\", points = [[1e4, 25], [5e3, 40], 7]", ohm, ".points: holds something",
       "[ohm, degC]"},
      {"kind = \"thermistor\", points = [[1e4, 25], [5e3, 40], [-2, 50]]", ohm,
       ".points: holds [-2", "positive"},
      {"kind = \"thermistor\", points = [[25, 1e2], [40, 5e2], [50, 4e2]]", ohm,
       ".points: [25, 100]", "falls with temperature"},
      {beta + ", supply_V = 5.0", ohm, ".supply_V: says what heats", "dissipation_mW_per_K"},
      {beta + ", dissipation_mW_per_K = 7", ohm, ".dissipation_mW_per_K: needs", "current_mA"},
      {beta + ", dissipation_mW_per_K = 7, supply_V = 5", ohm, ".supply_V: is there without",
       "current_mA"},
      {couple, uV, ".cold_degC: is missing", "cold = {...}"},
      {couple + ", cold_degC = 20, cold = { column = 2 }", uV, ".cold_degC: is there, and so is",
       "one of them"},
      {couple + ", cold = 20", uV, ".cold: is a whole number", "curly brackets"},
      {couple + ", cold_degC = 300", uV, ".cold_degC: is 300", "at most 150"},
      {"kind = \"thermocouple\", type = \"B\", cold_degC = -5", uV, ".cold_degC: is -5", "least 0"},
      {"kind = \"thermocouple\", type = \"k\", cold_degC = 20", uV, ".type: \"k\"", "\"K\""},
      {"kind = \"thermocouple\", cold_degC = 20", uV, ".type: is missing", "\"K\""},
      {couple + ", cold_degC = 20", ohm, ".kind: is \"thermocouple\", but", "unit = \"uV\""},
      {"kind = \"platinum\", wires = 5", ohm, ".wires: is 5", "at most 4"},
      {"kind = \"platinum\", lead_ohm = 0.3", ohm, ".lead_ohm: is there, but four", "wires = 2"},
      {"kind = \"platinum\", r0_ohm = 0", ohm, ".r0_ohm: is 0", "at least 1"},
  };
  for (const WrongPart& wrong : table) check_wrong(wrong);
}

TEST_CASE("a slip in a key is answered with the key that was meant, also of another law") {
  const std::vector<std::pair<std::string, std::string>> slips{
      {"kind = \"thermistor\", beta_k = 3950.0, at_ohm = 1e4", "did you mean beta_K?"},
      {"kind = \"thermistor\", point = [[1, 2]]", "did you mean points?"},
      {beta + ", serie_ohm = 1e4", "did you mean series_ohm?"},
      {beta + ", full_scal = 1e4", "did you mean full_scale?"},
      {beta + ", disipation_mW_per_K = 1.0", "did you mean dissipation_mW_per_K?"},
      {"kind = \"thermocouple\", type = \"K\", cold_degc = 20", "did you mean cold_degC?"},
      {"kind = \"platinum\", r0 = 100", "has no unit here; did you mean r0_ohm?"},
      {"kind = \"platinum\", R0_ohms = 100", "did you mean r0_ohm?"},
  };
  for (const auto& [keys, advice] : slips) {
    INFO(keys);
    const Outcome outcome = read(inline_table(keys), RawUnit::ohm);
    const bool is_told = std::any_of(outcome.problems.begin(), outcome.problems.end(),
                                     [&text = advice](const Error& problem) {
                                       return problem.text.find(text) != std::string::npos;
                                     });
    CHECK(is_told);
  }
}

TEST_CASE("the table may be written on lines of its own") {
  const Outcome outcome = read("[probe.transducer]\nkind = \"platinum\"\nwires = 7", RawUnit::ohm);
  REQUIRE(outcome.problems.size() == 1);
  CHECK_THAT(outcome.problems[0].text, StartsWith("/lab/b.toml:5: [[probe]] transducer.wires: "));
}
