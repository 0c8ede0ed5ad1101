// Which amounts of a trial may be set.
#include "core/sheet/amounts.hpp"

#include <algorithm>

#include "tests/catch.hpp"
#include "tests/sheet/day_sheet.hpp"

using namespace nestcup;

namespace {

const Sheet& day() {
  static const Sheet sheet = parse_sheet(testing::day_sheet, "day.toml").value();
  return sheet;
}

std::vector<std::string> names(const std::string& trial) {
  std::vector<std::string> found;
  for (const SheetAmount& amount : amounts_of(day(), *day().find(trial))) {
    found.push_back(amount.part + "." + amount.key);
  }
  return found;
}

SheetAmount amount(const std::string& trial, const std::string& part, const std::string& key) {
  const auto all = amounts_of(day(), *day().find(trial));
  const auto found = std::find_if(all.begin(), all.end(), [&](const SheetAmount& one) {
    return one.part == part && one.key == key;
  });
  REQUIRE(found != all.end());
  return *found;
}

}  // namespace

TEST_CASE("a trial's amounts are what has a place in it, by volume or by mass") {
  CHECK(names("oxide") == std::vector<std::string>{"cup.volume_mL", "cup.left_behind_mL",
                                                   "cup.temperature_degC", "cup.read_at_degC",
                                                   "added.mass_g", "added.left_behind_g",
                                                   "added.temperature_degC"});
  CHECK(names("coil") == std::vector<std::string>{"cup.volume_mL", "cup.left_behind_mL",
                                                  "cup.temperature_degC", "cup.read_at_degC",
                                                  "heater.voltage_V", "heater.current_A",
                                                  "heater.time_s"});
}

TEST_CASE("an amount has the sheet's uncertainty, else its instrument's, else none") {
  const SheetAmount weighed = amount("oxide", "added", "mass_g");
  CHECK(weighed.value == 0.655);
  CHECK(weighed.u == 0.003);
  CHECK(weighed.u_from == "sheet");
  const SheetAmount measured = amount("oxide", "cup", "volume_mL");
  CHECK(measured.u == 0.06);
  CHECK(measured.u_from == "pipette");
  const SheetAmount bare = amount("block", "cup", "mass_g");
  CHECK(bare.value == 100.0);
  CHECK_FALSE(bare.u.has_value());
  CHECK(bare.u_from.empty());
  CHECK_FALSE(amount("oxide", "added", "temperature_degC").value.has_value());
  CHECK(amount("coil", "heater", "time_s").u == 0.2);
}

TEST_CASE("every amount's keys are keys of its part") {
  for (const SheetTrial& trial : day().trials) {
    for (const SheetAmount& one : amounts_of(day(), trial)) {
      const auto keys = amount_keys(one.part);
      INFO(one.part << "." << one.key);
      CHECK(std::count(keys.begin(), keys.end(), one.key) == 1);
      if (one.u_key.empty()) continue;
      CHECK(std::count(keys.begin(), keys.end(), one.u_key) == 1);
    }
  }
  CHECK(amount_keys("lid").empty());
}
