// drivers/WIRING.md: its bench files are read as they stand, and its figures are those of the
// conversions.
#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <sstream>

#include "core/sheet/bench_file.hpp"
#include "drivers/port_decoder.hpp"
#include "drivers/transducer/transducer.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::drivers;

namespace {

/// The texts between ```toml and ```.
std::vector<std::string> snippets() {
  std::ifstream page(std::string(NESTCUP_SOURCE_DIR) + "/drivers/WIRING.md");
  REQUIRE(page.good());
  std::vector<std::string> found;
  bool inside = false;
  for (std::string line; std::getline(page, line);) {
    if (line.starts_with("```")) {
      inside = line == "```toml";
      if (inside) found.emplace_back();
    } else if (inside) {
      found.back() += line + '\n';
    }
  }
  return found;
}

std::map<std::string, BenchFile> benches() {
  std::map<std::string, BenchFile> found;
  for (const std::string& text : snippets()) {
    INFO(text);
    const BenchFileCheck check = parse_bench_file(text, "/lab/wiring.toml");
    for (const Error& problem : check.problems) FAIL_CHECK(problem.text);
    REQUIRE(check.bench.has_value());
    found[check.bench->name] = *check.bench;
  }
  return found;
}

double degC_of(const ProbeSettings& probe, double raw, std::optional<double> cold_degC = {}) {
  const auto transducer = Transducer::make(probe.transducer, probe.channel.unit);
  REQUIRE(transducer.ok());
  const auto found = transducer->to_degC(raw, cold_degC);
  REQUIRE(std::holds_alternative<double>(found));
  return std::get<double>(found);
}

const SteinhartHart page_law{1.129148e-3, 2.34125e-4, 8.76741e-8};

/// K per count and K of self-heating of the page's thermistor at a temperature.
std::array<double, 2> count_and_heat_K(double series_ohm, double full_scale, double degC) {
  const Divider divider{series_ohm, true, full_scale};
  const auto plain = Transducer::make(ThermistorSettings{page_law, divider, {}}, RawUnit::count);
  const auto heated = Transducer::make(
      ThermistorSettings{page_law, divider, SelfHeating{7.0, 3.3, 0.0}}, RawUnit::count);
  REQUIRE(plain.ok());
  REQUIRE(heated.ok());
  const double low = std::get<double>(plain->to_raw(degC - 0.01));
  const double high = std::get<double>(plain->to_raw(degC + 0.01));
  const double middle = std::get<double>(plain->to_raw(degC));
  return {0.02 / (low - high), degC - std::get<double>(heated->to_degC(middle))};
}

}  // namespace

TEST_CASE("every bench file of the page is complete and can be carried out") {
  const auto all = benches();
  CHECK(all.size() == snippets().size());
  CHECK(all.size() == 10);
  for (const auto& [name, bench] : all) {
    INFO(name);
    CHECK(PortDecoder::make(bench.ports.at(0), bench.probes, [](auto&&...) {}).ok());
    for (const ProbeSettings& probe : bench.probes) {
      CHECK(std::holds_alternative<std::monostate>(probe.transducer) ==
            is_temperature(probe.channel.unit));
    }
  }
}

TEST_CASE("the page's probes read what they should") {
  auto all = benches();
  // Half of the supply: the probe has the series resistor's 9970 ohm, less 0.04 K of its own heat.
  CHECK_THAT(degC_of(all["thermistor-counts"].probes[0], 511.5), WithinAbs(25.03, 0.02));
  CHECK_THAT(degC_of(all["thermistor-ohm"].probes[0], 9814), WithinAbs(25.0, 1e-9));
  CHECK_THAT(degC_of(all["thermistor-ohm"].probes[1], 10'000), WithinAbs(25.0, 1e-9));
  // NIST Monograph 175: type T 992 uV and type K 1000 uV at 25 degC.
  REQUIRE(all["thermocouple"].probes[0].cold.has_value());
  CHECK_THAT(degC_of(all["thermocouple"].probes[0], 992, 0.0), WithinAbs(25.0, 0.013));
  CHECK_THAT(degC_of(all["thermocouple-ice"].probes[0], 1000e-6), WithinAbs(25.0, 0.013));
  CHECK_THAT(degC_of(all["pt100-four-wires"].probes[0], 109.73), WithinAbs(25.0, 0.02));
  // 1097.35 ohm (IEC 60751) and twice 0.35 ohm beside 2200 ohm; 1.1 mW over 30 mW/K.
  const double ratio = 1098.05 / (1098.05 + 2200.0);
  CHECK_THAT(degC_of(all["pt1000-divider"].probes[0], ratio), WithinAbs(25.0 - 0.0366, 0.001));
}

TEST_CASE("the page's figures for the series resistor are true to their last digit") {
  struct Row {
    double series_ohm;
    std::array<double, 3> ten_bits_mK, sixteen_bits_mK;  ///< at 20, 40 and 60 degC
    std::array<double, 2> heat_mK;                       ///< at 20 and 40 degC
  };
  const std::array<Row, 4> rows{{{1'000, {315, 183, 133}, {4.9, 2.8, 2.1}, {107, 207}},
                                 {4'700, {109, 98, 120}, {1.7, 1.5, 1.9}, {66, 82}},
                                 {10'000, {88, 107, 170}, {1.4, 1.7, 2.7}, {38, 35}},
                                 {47'000, {130, 266, 569}, {2.0, 4.1, 8.9}, {5, 3}}}};
  const std::array<double, 3> at_degC{20, 40, 60};
  for (const Row& row : rows) {
    for (std::size_t i = 0; i < 3; ++i) {
      INFO(row.series_ohm << " ohm at " << at_degC[i]);
      const auto [ten_K, heat_K] = count_and_heat_K(row.series_ohm, 1023.0, at_degC[i]);
      const auto [sixteen_K, same_K] = count_and_heat_K(row.series_ohm, 65'535.0, at_degC[i]);
      CHECK_THAT(1e3 * ten_K, WithinAbs(row.ten_bits_mK[i], 0.51));
      CHECK_THAT(1e3 * sixteen_K, WithinAbs(row.sixteen_bits_mK[i], 0.051));
      if (i < 2) CHECK_THAT(1e3 * heat_K, WithinAbs(row.heat_mK[i], 0.51));
    }
  }
}
