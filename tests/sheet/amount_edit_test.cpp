// One number of a sheet set anew, and not a byte beside it.
#include "core/sheet/amount_edit.hpp"

#include <limits>

#include <toml++/toml.h>

#include "core/base/digest.hpp"
#include "core/base/numbers.hpp"
#include "tests/catch.hpp"
#include "tests/sheet/day_sheet.hpp"

using namespace nestcup;

namespace {

const std::string head =
    "[sheet]\ntitle = \"\xC3\x84pfel\"\n[calorimeter]\nconstant_J_per_K = 30.0\n";

/// A trial of water into water with this written for what is added.
std::string sheet_adding(const std::string& added) {
  return head + "[[trial]]\nname = \"warm\"\npurpose = \"calorimeter constant\"\n" +
         "cup = { substance = \"water\", volume_mL = 50.0 }\n" + added;
}

Result<AmountEdit> edited(const std::string& text, const AmountChange& change) {
  const auto sheet = parse_sheet(text, "day.toml");
  if (!sheet) FAIL(sheet.error().text);
  return edit_amount(*sheet, change);
}

/// What is written for what is added, after the change.
void check_edit(const std::string& from, const std::string& key, std::optional<double> value,
                const std::string& to, std::optional<double> before) {
  INFO(from << " | " << key);
  const auto edit = edited(sheet_adding(from), {"warm", "added", key, value});
  if (!edit) FAIL(edit.error().text);
  CHECK(edit->sheet.text == sheet_adding(to));
  CHECK(edit->sheet.sha256 == sha256_hex(edit->sheet.text));
  CHECK(edit->before == before);
}

void check_refused(const std::string& text, const AmountChange& change, Fault kind,
                   const std::string& part) {
  INFO(change.trial << " " << change.part << " " << change.key);
  const auto edit = edited(text, change);
  REQUIRE_FALSE(edit);
  CHECK(edit.error().kind == kind);
  CHECK_THAT(edit.error().text, ContainsSubstring(part));
}

}  // namespace

TEST_CASE("a number is replaced where it stands, however it is written") {
  const auto water = [](const std::string& rest) {
    return "added = { substance = \"water\", " + rest;
  };
  check_edit(water("volume_mL = 50.0 }\n"), "volume_mL", 49.5, water("volume_mL = 49.5 }\n"), 50.0);
  check_edit(water("volume_mL=5e1}"), "volume_mL", 48.0, water("volume_mL=48.0}"), 50.0);
  check_edit(water("volume_mL = 5_0.2_5 } # a dry \xC2\xB5 cylinder\n"), "volume_mL", 50.0,
             water("volume_mL = 50.0 } # a dry \xC2\xB5 cylinder\n"), 50.25);
  check_edit(water("volume_mL = 0x32 }\r\n"), "volume_mL", 1e-7, water("volume_mL = 1e-07 }\r\n"),
             50.0);
  check_edit("added\t=\t{\tvolume_mL\t=\t+50.0\t,\tsubstance\t=\t'water'\t}", "volume_mL", 51.0,
             "added\t=\t{\tvolume_mL\t=\t51.0\t,\tsubstance\t=\t'water'\t}", 50.0);
  check_edit("added.substance = \"water\"\n  added . \"volume_mL\" = 50 # mL\n", "volume_mL", 0.5,
             "added.substance = \"water\"\n  added . \"volume_mL\" = 0.5 # mL\n", 50.0);
  check_edit("[trial.added]\nsubstance = \"water\"\n\n# by eye\nvolume_mL = 50.0\n", "volume_mL",
             52.0, "[trial.added]\nsubstance = \"water\"\n\n# by eye\nvolume_mL = 52.0\n", 50.0);
}

TEST_CASE("a key that is not there is put behind the one it belongs to, or behind the last") {
  check_edit("added = { volume_mL = 50.0, substance = \"water\" } # dry\n", "u_volume_mL", 0.1,
             "added = { volume_mL = 50.0, u_volume_mL = 0.1, substance = \"water\" } # dry\n",
             std::nullopt);
  check_edit("added = { volume_mL = 50.0, substance = \"\"\"\nwater\"\"\" }\n", "temperature_degC",
             61.0,
             "added = { volume_mL = 50.0, substance = \"\"\"\nwater\"\"\", temperature_degC = 61.0 "
             "}\n",
             std::nullopt);
  check_edit("added = { temperature_degC = 60, volume_mL = 50.0, substance = \"water\" }",
             "u_temperature_K", 0.2,
             "added = { temperature_degC = 60, u_temperature_K = 0.2, volume_mL = 50.0, substance "
             "= \"water\" }",
             std::nullopt);
  check_edit("\tadded.substance = \"water\"\r\n\tadded.volume_mL = 50 # mL\r\nrepeats = 2\r\n",
             "u_volume_mL", 0.25,
             "\tadded.substance = \"water\"\r\n\tadded.volume_mL = 50 # mL\r\n"
             "\tadded.u_volume_mL = 0.25\r\nrepeats = 2\r\n",
             std::nullopt);
  check_edit("[trial.added]\nsubstance = \"water\"\nvolume_mL = 50.0", "read_at_degC", 20.0,
             "[trial.added]\nsubstance = \"water\"\nvolume_mL = 50.0\nread_at_degC = 20.0",
             std::nullopt);
}

TEST_CASE("a key is taken out, with its comma or its line, and comments stay") {
  check_edit("added = { u_volume_mL = 0.1, volume_mL = 50.0, substance = \"water\" }\n",
             "u_volume_mL", std::nullopt, "added = { volume_mL = 50.0, substance = \"water\" }\n",
             0.1);
  check_edit("added = { volume_mL = 50.0 , u_volume_mL = 0.1 , substance = \"water\" }\n",
             "u_volume_mL", std::nullopt, "added = { volume_mL = 50.0 , substance = \"water\" }\n",
             0.1);
  check_edit("added = { volume_mL = 50.0, substance = \"water\", read_at_degC = 20 } # x\n",
             "read_at_degC", std::nullopt,
             "added = { volume_mL = 50.0, substance = \"water\" } # x\n", 20.0);
  check_edit("[trial.added]\nread_at_degC = 20\t\r\nsubstance = \"water\"\nvolume_mL = 50.0\n",
             "read_at_degC", std::nullopt,
             "[trial.added]\nsubstance = \"water\"\nvolume_mL = 50.0\n", 20.0);
  check_edit("[trial.added]\nsubstance = \"water\"\nvolume_mL = 50.0\n  read_at_degC = 20 # x",
             "read_at_degC", std::nullopt,
             "[trial.added]\nsubstance = \"water\"\nvolume_mL = 50.0\n# x", 20.0);
}

TEST_CASE("set and set back, a sheet is as it was, byte for byte") {
  for (const std::string& start : {testing::day_sheet, "\xEF\xBB\xBF" + testing::day_sheet}) {
    for (const AmountChange& change : {AmountChange{"oxide", "added", "u_mass_g", 0.5},
                                       {"oxide", "added", "left_behind_g", 0.01},
                                       {"oxide", "cup", "temperature_degC", 21.0},
                                       {"coil", "heater", "u_current_A", 0.01},
                                       {"ice", "added", "u_mass_g", 0.002}}) {
      INFO(change.trial << " " << change.part << " " << change.key);
      const auto there = edited(start, change);
      REQUIRE(there);
      CHECK(there->sheet.text != start);
      const auto back =
          edit_amount(there->sheet, {change.trial, change.part, change.key, there->before});
      REQUIRE(back);
      CHECK(back->before == change.value);
      CHECK(back->sheet.text == start);
    }
  }
}

TEST_CASE("only the trial that is named changes, among lists over many lines") {
  const auto edit = edited(testing::day_sheet, {"metal", "cup", "mass_g", 99.75});
  REQUIRE(edit);
  CHECK(edit->sheet.text == testing::sheet_with("mass_g = 101.2", "mass_g = 99.75"));
  CHECK(edit->sheet.find("metal")->cup->mass_g == 99.75);
  CHECK(edit->sheet.find("block")->cup->mass_g == 100.0);
}

TEST_CASE("what is that already changes nothing, not even the digits") {
  const std::string text = sheet_adding("added = { substance = \"water\", volume_mL = 5.00e1 }");
  for (const auto& [key, value] :
       {std::pair{"volume_mL", std::optional(50.0)}, {"u_volume_mL", std::nullopt}}) {
    const auto edit = edited(text, {"warm", "added", key, value});
    REQUIRE(edit);
    CHECK(edit->sheet.text == text);
    CHECK(edit->before == value);
  }
}

TEST_CASE("a wrong name is told with the nearest one") {
  const std::string& day = testing::day_sheet;
  check_refused(day, {"oxid", "added", "mass_g", 1.0}, Fault::usage, "is \"oxide\" meant?");
  check_refused(day, {"oxide", "lid", "mass_g", 1.0}, Fault::usage, "expected \"cup\"");
  check_refused(day, {"oxide", "added", "mas_g", 1.0}, Fault::usage, "is \"mass_g\" meant?");
  check_refused(day, {"oxide", "added", "by", 1.0}, Fault::usage, "is no amount of added");
  check_refused(day, {"oxide", "heater", "time_s", 1.0}, Fault::usage, "has no heater");
  check_refused(day, {"oxide", "added", "mass_g", std::numeric_limits<double>::quiet_NaN()},
                Fault::usage, "finite");
}

TEST_CASE("a sheet that would be wrong stays, and the line is named") {
  const std::string& day = testing::day_sheet;
  check_refused(day, {"oxide", "added", "mass_g", 0.0}, Fault::bad_data, "day.toml:31: ");
  check_refused(day, {"oxide", "added", "mass_g", -1.0}, Fault::bad_data, "expected more than 0");
  check_refused(day, {"oxide", "added", "volume_mL", 1.0}, Fault::bad_data, "both");
  check_refused(day, {"oxide", "added", "mass_g", std::nullopt}, Fault::bad_data,
                "nothing was set");
  check_refused(day, {"warm", "cup", "volume_mL", 160.0}, Fault::bad_data, "vessel holds");
}

TEST_CASE("a text in which the number cannot be changed alone is left to the person") {
  const std::string dotted =
      head + "trial = [ { name = \"warm\", purpose = \"calorimeter constant\", " +
      "cup = { substance = \"water\", volume_mL = 50.0 }, added.substance = \"water\", "
      "added.volume_mL = 50.0 } ]\n";
  const std::string at_top = dotted.substr(head.size()) + head;
  check_refused(at_top, {"warm", "added", "u_volume_mL", 0.1}, Fault::bad_data,
                "cannot be changed alone");
  const auto replaced = edited(at_top, {"warm", "added", "volume_mL", 40.0});
  REQUIRE(replaced);
  CHECK(replaced->sheet.find("warm")->added->volume_mL == 40.0);
}

TEST_CASE("numbers are written as TOML reads them back") {
  for (const double value : {50.0, 0.1, 1e-7, 1e22, 123456789.125, -40.0, 5e-324}) {
    const std::string text = number_text(value);
    INFO(text);
    const auto read = toml::parse("a = " + text);
    CHECK(read["a"].is_floating_point());
    CHECK(read["a"].value<double>() == value);
  }
}
