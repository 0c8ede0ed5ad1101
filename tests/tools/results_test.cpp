// nestcup results as scripts and people call it.
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/catch.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

namespace fs = std::filesystem;

/// A folder of its own, gone with this object.
class Folder {
 public:
  Folder() {
    std::string pattern = fs::temp_directory_path() / "nestcup-results-XXXXXX";
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

// Invented readings of a day on paper.
const char* const paper = R"toml(
[sheet]
title = "Magnesium oxide on paper"
[calorimeter]
constant_J_per_K = 28.0
u_constant_J_per_K = 2.0
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, u_volume_mL = 0.3 }
added = { substance = "MgO(s)", mass_g = 0.720, u_mass_g = 0.002 }
typed = { cup_degC = 21.3, final_degC = 27.6, u_degC = 0.05 }
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
cup = { stock = "acid", volume_mL = 100.0, u_volume_mL = 0.3 }
added = { substance = "Mg(s)", mass_g = 0.250, u_mass_g = 0.001 }
typed = { cup_degC = 21.3, final_degC = 32.5, u_degC = 0.05 }
[cycle]
target = "Mg(s) + 1/2 O2(g) -> MgO(s)"
from = ["oxide", "metal"]
accepted = ["H2(g) + 1/2 O2(g) -> H2O(l)"]
)toml";

}  // namespace

TEST_CASE("results of a day on paper, for scripts: the keys that callers rely on") {
  const Folder folder;
  const Outcome outcome =
      typed_words({"results", "--sheet", folder.with("paper.toml", paper), "--json"});
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  const auto json = nlohmann::json::parse(outcome.out);
  CHECK(json.at("calorimeter_constant_J_per_K").at("value") == 28.0);
  const auto& oxide = json.at("trials").at(0);
  CHECK(oxide.at("name") == "oxide");
  CHECK(oxide.at("purpose") == "reaction");
  CHECK(oxide.at("runs") == 1);
  CHECK(oxide.at("limiting") == "MgO(s)");
  CHECK(oxide.at("at_degC") == Approx(21.3));
  const double heat_J = oxide.at("heat_J").at("value");
  const double extent_mol = oxide.at("extent_mol").at("value");
  CHECK(extent_mol == Approx(0.720 / 40.304).epsilon(1e-4));
  CHECK(oxide.at("delta_H_kJ_per_mol").at("value") == Approx(-0.001 * heat_J / extent_mol));
  CHECK(oxide.at("delta_H_25_kJ_per_mol").at("u").get<double>() > 0.0);
  CHECK_FALSE(oxide.at("budget").empty());
  const auto& cycle = json.at("cycle");
  CHECK(cycle.at("terms").at(0).at("multiplier") == "-1");
  CHECK(cycle.at("terms").at(1).at("multiplier") == "1");
  const auto& accepted = cycle.at("accepted_kJ_per_mol");
  CHECK(accepted.at("value") == Approx(-601.60));
  CHECK(accepted.at("source").get<std::string>().find("CODATA") != std::string::npos);
  const double apart = accepted.at("difference_kJ_per_mol").at("value");
  const double u = accepted.at("difference_kJ_per_mol").at("u");
  CHECK(cycle.at("E_n").get<double>() == Approx(apart / (2.0 * u)));
  CHECK(json.at("findings").is_array());
}

TEST_CASE("results for people say the sum, what it is held against, and whether they agree") {
  const Folder folder;
  const Outcome outcome = typed_words({"results", "--sheet", folder.with("paper.toml", paper)});
  REQUIRE(outcome.code == 0);
  CHECK(outcome.out.find("MgO(s) runs out first") != std::string::npos);
  CHECK(outcome.out.find("-601.60 \xC2\xB1 0.15 kJ/mol (CODATA 1989)") != std::string::npos);
  CHECK(outcome.out.find("agree within their uncertainties") != std::string::npos);
  CHECK(outcome.out.find("carried off by wet gas") != std::string::npos);
}

TEST_CASE("what is wrong is said with the file, and with its exit code") {
  const Folder folder;
  const std::string sheet = folder.with("paper.toml", paper);
  CHECK(typed("results").code == 64);
  CHECK(typed_words({"results", "--sheet", sheet + ".none"}).code == 66);
  const std::string no_json = folder.with("run.json", "{");
  const Outcome broken = typed_words({"results", "--sheet", sheet, no_json});
  CHECK(broken.code == 65);
  CHECK(broken.err.find(no_json) != std::string::npos);
  CHECK(broken.out.empty());
  const std::string no_record = folder.with("other.json", R"({"status": "finished"})");
  CHECK(typed_words({"results", "--sheet", sheet, no_record}).code == 65);
  CHECK(typed_words({"results", "--sheet", sheet, "--store", sheet + ".db"}).code == 66);
}
