// What callers see while results are hidden.
#include "daemon/api/hidden_results.hpp"
#include "daemon/store/hiding.hpp"

#include "core/record/run_record.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

/// Every part of a record, with numbers that stand nowhere else in it.
Json record() {
  return Json::parse(R"json({"format":"nestcup-run","version":1,"id":"an-id","revision":2,
    "status":"finished","source":"bench","bench":"bench-4","sheet":null,"trial":null,
    "started_at":null,"mixed_at":null,"finished_at":null,"clock_synchronised":true,"probes":[],
    "periods":{"fore":{"start_s":0,"end_s":62.5}},"mixing":{"time_s":{"value":62.5,"u":0.25}},
    "temperatures":{"cup_at_mixing_degC":{"value":21.5,"u":0.5},"added_at_mixing_degC":null,
                    "final_degC":{"value":77.125,"u":0.77125}},
    "corrected_rise_K":{"value":77.25,"u":0.7725,"dof":77,"method":"a method",
                        "budget":[{"source":"scatter","u":0.775,"type":"A"}]},
    "mixture_rise_K":{"value":77.375,"u":0.77375},
    "estimates_K":[{"method":"a method","value":77.5,"u":0.7775,"used":true,"note":""}],
    "heat_leak":{"rate_per_s":{"value":0.00077,"u":0.000077},"rest_degC":{"value":77.625,"u":0.77}},
    "after_period_wanted_s":180.0,"heater":false,
    "timed_readings":[{"after_mixing_s":20,"cup_degC":28.5}],
    "findings":[{"code":"cut-short","severity":"warning","values":{},"text":"cut"}],
    "readings":{"count":529,"sha256":"ab"},"software":{"version":"1"},"content_sha256":"77ef",
    "a_later_outcome_K":77.75})json");
}

const std::vector<std::string> outcomes{"corrected_rise_K", "mixture_rise_K", "estimates_K",
                                        "heat_leak", "temperatures"};
const std::vector<std::string> left_out{"content_sha256", "a_later_outcome_K"};

bool is_in(const std::vector<std::string>& names, const std::string& name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

}  // namespace

TEST_CASE("a masked record shows no number that follows from the rise") {
  const Json masked = masked_record(record());
  CHECK(masked.at("hidden") == true);
  CHECK(masked.dump().find("77") == std::string::npos);
  CHECK(masked.dump().find("a method") == std::string::npos);
}

TEST_CASE("a masked record has the shape of one, and all that was seen at the bench") {
  const Json whole = record(), masked = masked_record(whole);
  for (const auto& [key, value] : whole.items()) {
    INFO(key);
    if (is_in(left_out, key)) {
      CHECK_FALSE(masked.contains(key));
    } else if (is_in(outcomes, key)) {
      CHECK(masked.at(key) != value);
    } else {
      CHECK(masked.at(key) == value);
    }
  }
  CHECK(masked.at("corrected_rise_K").at("value").is_null());
  CHECK(masked.at("corrected_rise_K").at("budget").empty());
  CHECK(masked.at("temperatures").at("final_degC").at("value").is_null());
  CHECK(masked.at("temperatures").at("cup_at_mixing_degC").at("value") == 21.5);
  CHECK(masked.at("heat_leak").at("rest_degC").at("value").is_null());
  CHECK(masked.at("estimates_K").empty());
}

TEST_CASE("masked results name the trials and tell no number of theirs") {
  const Json masked = masked_results(Json::parse(R"json({
    "calorimeter_constant_J_per_K":{"value":77.5,"u":1.5},
    "calorimeter_constant_budget":[{"source":"a","u":77.5}],"conventions":false,
    "trials":[{"name":"oxide","purpose":"reaction","runs":2,"at_degC":77.25,
               "heat_J":{"value":77.75,"u":1},"budget":[{"source":"a","u":77.5}]}],
    "cycle":{"target":"A -> B","delta_H_kJ_per_mol":{"value":77.125,"u":1}},
    "findings":[{"code":"apart","severity":"note","trial":null,"text":"77 percent"}]})json"));
  CHECK(masked.dump().find("77") == std::string::npos);
  CHECK(masked.at("hidden") == true);
  CHECK(masked.at("trials") ==
        Json::parse(R"json([{"name":"oxide","purpose":"reaction","runs":2}])json"));
  CHECK(masked.at("cycle").is_null());
}

TEST_CASE("whether results are hidden is kept in the store, the newest word holding") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  CHECK(stored_as_hidden(store).value() == false);
  const auto keep = [&](TimeUs now_us, bool hidden) {
    const StoredEvent event = hiding_event(now_us, hidden, "teacher");
    const StoredEvent other{now_us + 1, "mark", "{}"};
    REQUIRE(store.add({}, std::vector{event, other}));
  };
  keep(1000, true);
  CHECK(stored_as_hidden(store).value() == true);
  keep(2000, false);
  CHECK(stored_as_hidden(store).value() == false);
  keep(3000, true);
  const Store again = Store::open(folder.path("a.db"), StoreMode::read).value();
  CHECK(stored_as_hidden(again).value() == true);
}
