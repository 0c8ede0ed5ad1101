// nestcup forecast as scripts and people call it.
#include "tools/forecast/forecast.hpp"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::testing;
using Json = nlohmann::json;

namespace {

namespace fs = std::filesystem;

/// A folder of its own, gone with this object.
class Folder {
 public:
  Folder() {
    std::string pattern = fs::temp_directory_path() / "nestcup-forecast-XXXXXX";
    REQUIRE(mkdtemp(pattern.data()) != nullptr);
    path_ = pattern;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path_); }

  std::string with(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name) << text;
    return path_ / name;
  }

 private:
  fs::path path_;
};

std::string shipped(const std::string& name) {
  return std::string(NESTCUP_SOURCE_DIR) + "/" + name;
}

/// A sheet of one reaction in a cup whose constant is known.
std::string one_trial(const std::string& equation, const std::string& cup,
                      const std::string& added) {
  return "[sheet]\ntitle = \"one\"\n[calorimeter]\nconstant_J_per_K = 28.0\n[[stock]]\nname = "
         "\"acid\"\nsubstance = \"HCl(aq)\"\nconcentration_mol_per_L = "
         "1.00\nu_concentration_mol_per_L = 0.01\n[[trial]]\nname = \"it\"\npurpose = "
         "\"reaction\"\nequation = \"" +
         equation + "\"\ncup = { " + cup + " }\nadded = { " + added + " }\n";
}

Json forecast_of(const std::vector<std::string>& words) {
  std::vector<std::string> all{"forecast"};
  all.insert(all.end(), words.begin(), words.end());
  all.emplace_back("--json");
  const Outcome outcome = typed_words(all);
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  return Json::parse(outcome.out);
}

bool finds(const Json& json, const std::string& code) {
  for (const Json& finding : json.at("findings")) {
    if (finding.at("code") == code) return true;
  }
  return false;
}

/// Whether there is a number anywhere that JSON cannot carry would show as null beside a key that
/// must have one.
void check_quantity(const Json& quantity) {
  REQUIRE(quantity.is_object());
  CHECK(quantity.at("value").is_number());
  CHECK(quantity.at("u").get<double>() >= 0.0);
}

}  // namespace

TEST_CASE("a forecast for scripts: keys with units, trials in the sheet's order") {
  const Json json = forecast_of({shipped("tools/demo/sheet.toml")});
  CHECK(json.at("format") == "nestcup-forecast");
  REQUIRE(json.at("trials").size() == 4);
  check_quantity(json.at("calorimeter_constant_J_per_K"));
  const Json& oxide = json.at("trials").at(1);
  CHECK(oxide.at("name") == "oxide");
  CHECK(oxide.at("runs") == 2);
  CHECK(oxide.at("not_known").is_null());
  check_quantity(oxide.at("corrected_rise_K"));
  check_quantity(oxide.at("cup_degC"));
  check_quantity(oxide.at("final_degC"));
  CHECK(oxide.at("limiting") == "MgO(s)");
  CHECK(oxide.at("limiting_unclear_with").is_null());
  // 0.720 g / 40.304 g/mol, and 0.1000 mol of acid for two protons each.
  CHECK(oxide.at("reactants").at(1).at("times_enough") ==
        Approx(0.0500 / (0.720 / 40.304)).epsilon(2e-3));
  CHECK(oxide.at("expected").at("delta_H_kJ_per_mol").at("value") == Approx(-151.29).margin(0.05));
  check_quantity(oxide.at("result").at("delta_H_kJ_per_mol"));
  CHECK(oxide.at("result").at("delta_H_kJ_per_mol").at("value") == Approx(-151.23).epsilon(1e-6));
  REQUIRE(oxide.at("after_periods").size() == 5);
  // Longer is never worse, and the table's own rule gives what is enough.
  double before = INFINITY;
  for (const Json& after : oxide.at("after_periods")) {
    CHECK(after.at("u_rise_K").get<double>() <= before);
    before = after.at("u_rise_K");
  }
  const double best = oxide.at("after_periods").back().at("u_result");
  for (const Json& after : oxide.at("after_periods")) {
    if (after.at("after_period_s") != oxide.at("enough_after_period_s")) continue;
    CHECK(best >= 0.95 * after.at("u_result").get<double>());
  }
  CHECK(json.at("trials").at(3).at("corrected_rise_K").at("value").get<double>() < -3.0);
  CHECK(json.at("cycle").at("delta_H_kJ_per_mol").at("value") == Approx(-601.6).margin(0.01));
  CHECK(finds(json, "gas"));
  CHECK(json.at("cautions").size() >= 3);
}

TEST_CASE("squares of a budget's lines add up, and levers bring what they say") {
  const Json json = forecast_of({shipped("tools/examples/magnesium-sulfate.toml"), "--trial",
                                 "crystals", "--tolerance-K", "0"});
  REQUIRE(json.at("trials").size() == 1);
  CHECK(json.at("cycle").is_null());
  const Json& crystals = json.at("trials").at(0);
  const double u = crystals.at("result").at("delta_H_kJ_per_mol").at("u");
  double squares = 0.0;
  for (const Json& line : crystals.at("budget")) {
    squares += std::pow(line.at("u").get<double>(), 2);
  }
  CHECK(std::sqrt(squares) == Approx(u).epsilon(1e-9));
  REQUIRE_FALSE(crystals.at("would_pay").empty());
  for (const Json& gain : crystals.at("would_pay")) {
    CHECK(gain.at("u_result").get<double>() <= 0.95 * u);
  }
}

TEST_CASE("twice as many runs in the sheet make the result better by what they do not share") {
  const Folder folder;
  std::ifstream file(shipped("tools/examples/metal-and-ice.toml"));
  std::string text((std::istreambuf_iterator<char>(file)), {});
  const auto u_of = [&](const std::string& sheet) {
    const Json json = forecast_of(
        {folder.with("sheet.toml", sheet), "--tolerance-K", "0", "--added-degC", "warm=60"});
    return json.at("trials").at(0).at("result").at("calorimeter_constant_J_per_K").at("u");
  };
  const double two = u_of(text);
  text.replace(text.find("repeats = 2"), 11, "repeats = 8");
  const double eight = u_of(text);
  CHECK(eight < two);
  CHECK(eight > two / 2.0);
}

TEST_CASE("what is told counts: enthalpy, constant, temperatures, bench") {
  const std::string sheet = shipped("tools/demo/sheet.toml");
  const Json told = forecast_of({sheet, "--trial", "oxide", "--enthalpy", "oxide=-300+-3",
                                 "--constant", "0", "--cup-degC", "25"});
  const Json& oxide = told.at("trials").at(0);
  CHECK(oxide.at("expected").at("delta_H_kJ_per_mol").at("value") == Approx(-300.0));
  CHECK(oxide.at("expected").at("delta_H_kJ_per_mol").at("u") == Approx(3.0));
  CHECK(oxide.at("cup_degC").at("value") == Approx(25.0));
  const double rise_K = oxide.at("corrected_rise_K").at("value");
  CHECK(rise_K == Approx(0.720 / 40.304 * 300e3 / 400.0).epsilon(0.02));
  // A coarse display with little scatter, few readings: known worse.
  const Json coarse = forecast_of({sheet, "--trial", "salt", "--interval-s", "10", "--noise-K",
                                   "0.05", "--step-K", "0.1", "--tolerance-K", "0"});
  const Json fine = forecast_of({sheet, "--trial", "salt", "--tolerance-K", "0"});
  const double u_coarse = coarse.at("trials").at(0).at("u_rise_K");
  const double u_fine = fine.at("trials").at(0).at("u_rise_K");
  CHECK(u_coarse > 4.0 * u_fine);
}

TEST_CASE("a bench file's probes, interval and after period count") {
  const Folder folder;
  const std::string bench = folder.with("bench.toml", R"toml(
[bench]
name = "one"
interval_s = 2.0
after_period_s = 300
[[port]]
name = "board"
device = "/dev/null"
baud = 115200
protocol = "text"
[[probe]]
name = "cup"
role = "cup"
port = "board"
column = 1
unit = "degC"
tolerance_K = 0.1
)toml");
  const Json json =
      forecast_of({shipped("tools/demo/sheet.toml"), "--trial", "salt", "--bench", bench});
  CHECK(json.at("bench").at("interval_s") == 2.0);
  CHECK(json.at("bench").at("after_period_s") == 300.0);
  CHECK(json.at("bench").at("cup_tolerance_K") == 0.1);
  CHECK(json.at("bench").at("added_tolerance_K").is_null());
}

TEST_CASE("what a teacher should look out for is said") {
  const Folder folder;
  const auto findings_of = [&](const std::string& equation, const std::string& cup,
                               const std::string& added,
                               const std::vector<std::string>& options = {}) {
    std::vector<std::string> words{folder.with("sheet.toml", one_trial(equation, cup, added))};
    words.insert(words.end(), options.begin(), options.end());
    return forecast_of(words);
  };
  const std::string metal = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)";
  const std::string acid = "stock = \"acid\", volume_mL = 50.0";
  // 2.0 g of magnesium want 0.165 mol of acid; there are 0.050.
  CHECK(
      finds(findings_of(metal, acid, "substance = \"Mg(s)\", mass_g = 2.0"), "weighed-in-is-left"));
  CHECK(finds(findings_of(metal, acid, "substance = \"Mg(s)\", mass_g = 0.6077"),
              "limiting-unclear"));
  CHECK(finds(findings_of(metal, acid, "substance = \"Mg(s)\", mass_g = 0.6", {"--cup-degC", "55"}),
              "may-boil"));
  const std::string salt = "NH4NO3(s) -> NH4+(aq) + NO3-(aq)";
  CHECK(finds(findings_of(salt, "substance = \"water\", volume_mL = 50.0",
                          "substance = \"NH4NO3(s)\", mass_g = 25.0", {"--cup-degC", "18"}),
              "may-freeze"));
  const Json small = findings_of(salt, "substance = \"water\", volume_mL = 150.0",
                                 "substance = \"NH4NO3(s)\", mass_g = 0.10");
  CHECK(finds(small, "rise-may-be-missed"));
  CHECK(finds(small, "rise-small") ==
        (std::abs(small.at("trials").at(0).at("corrected_rise_K").at("value").get<double>()) <
         10.0 * small.at("trials").at(0).at("u_rise_K").get<double>()));
  // 0.02 g x 25.7 kJ/mol / 80 g/mol over 655 J/K: 10 mK, of which readings of 8 mK tell a few.
  const Json tiny = findings_of(salt, "substance = \"water\", volume_mL = 150.0",
                                "substance = \"NH4NO3(s)\", mass_g = 0.020");
  CHECK(finds(tiny, "rise-small"));
  CHECK(tiny.at("trials").at(0).at("u_rise_K").get<double>() > 0.0005);
  CHECK(finds(findings_of(salt, "substance = \"water\", volume_mL = 260.0",
                          "substance = \"NH4NO3(s)\", mass_g = 5.0"),
              "cup-too-small"));
  // NBS 1982 and JANAF 1998 lie 23 kJ/mol apart.
  CHECK(finds(
      findings_of("MgSO4(s) -> Mg+2(aq) + SO4-2(aq)", "substance = \"water\", volume_mL = 100.0",
                  "substance = \"MgSO4(s)\", mass_g = 3.0"),
      "bases-apart"));
  const Json quiet = findings_of(salt, "substance = \"water\", volume_mL = 100.0",
                                 "substance = \"NH4NO3(s)\", mass_g = 5.0");
  CHECK(quiet.at("findings").empty());
}

TEST_CASE("an enthalpy that nobody knows is said, with what to give") {
  const Folder folder;
  const std::string sheet =
      folder.with("sheet.toml", one_trial("RbBr(s) -> Rb+(aq) + Br-(aq)",
                                          "substance = \"water\", volume_mL = 100.0",
                                          "substance = \"RbBr(s)\", mass_g = 5.0"));
  const Json json = forecast_of({sheet});
  CHECK(json.at("trials").at(0).at("corrected_rise_K").is_null());
  CHECK(json.at("trials").at(0).at("result").is_null());
  CHECK(finds(json, "not-known"));
  const Outcome page = typed_words({"forecast", sheet});
  CHECK(page.code == 0);
  CHECK(page.out.find("not known") != std::string::npos);
  CHECK(page.out.find("--enthalpy it=KJ_PER_MOL") != std::string::npos);
  const Json told = forecast_of({sheet, "--enthalpy", "it=21.9"});
  CHECK(told.at("trials").at(0).at("corrected_rise_K").at("value").get<double>() < 0.0);
}

TEST_CASE("a forecast for people: numbered tables, within the width of a page") {
  const Outcome outcome = typed_words({"forecast", shipped("tools/examples/metal-and-ice.toml")});
  REQUIRE(outcome.code == 0);
  for (const char* table : {"Table 1.", "Table 2.", "Table 3.", "Table 4."}) {
    CHECK(outcome.out.find(table) != std::string::npos);
  }
  CHECK(outcome.out.find("Taken for granted") != std::string::npos);
  CHECK(outcome.out.find("responsible teacher") != std::string::npos);
  CHECK(outcome.out.find("nan") == std::string::npos);
  std::istringstream lines(outcome.out);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 93);  // 90 columns, in bytes: some signs take two or three
  }
}

TEST_CASE("wrong words are told with their exit code") {
  const Folder folder;
  const std::string sheet = shipped("tools/demo/sheet.toml");
  CHECK(typed("forecast").code == 64);
  CHECK(typed_words({"forecast", sheet, "--trial", "oxyde"}).code == 64);
  CHECK(typed_words({"forecast", sheet, "--enthalpy", "oxide"}).code == 64);
  CHECK(typed_words({"forecast", sheet, "--enthalpy", "oxide=lots"}).code == 64);
  CHECK(typed_words({"forecast", sheet, "--enthalpy", "oxide=-151+--1"}).code == 64);
  CHECK(typed_words({"forecast", sheet, "--enthalpy", "nothing=-151"}).code == 64);
  CHECK(typed_words({"forecast", sheet, "--noise-K", "0"}).code == 64);
  CHECK(typed_words({"forecast", sheet, "--cup-degC", "nan"}).code == 64);
  CHECK(typed_words({"forecast", sheet + ".none"}).code == 66);
  CHECK(typed_words({"forecast", sheet, "--bench", sheet + ".none"}).code == 66);
  const Outcome broken = typed_words({"forecast", folder.with("sheet.toml", "[sheet]\nname = 1")});
  CHECK(broken.code == 65);
  CHECK(broken.out.empty());
  CHECK(broken.err.find("sheet.toml") != std::string::npos);
}

TEST_CASE("the spread of errors is their standard deviation, and a few far-off ones do not rule") {
  std::vector<double> errors;
  // Quantiles of the normal distribution would do; a symmetric triangle has sd 1/sqrt(6).
  for (int i = 0; i < 1000; ++i) {
    const double p = (i + 0.5) / 1000.0;
    errors.push_back(p < 0.5 ? std::sqrt(2.0 * p) - 1.0 : 1.0 - std::sqrt(2.0 * (1.0 - p)));
  }
  CHECK(forecast::spread_about_zero(errors) == Approx(1.0 / std::sqrt(6.0)).epsilon(1e-3));
  for (int i = 0; i < 20; ++i) errors.push_back(1e6);
  CHECK(forecast::spread_about_zero(errors) < 1.3 / std::sqrt(6.0));
  CHECK(forecast::spread_about_zero({}) == 0.0);
}
