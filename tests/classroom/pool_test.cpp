// nestcup pool as people and scripts call it, over stores, folders and records.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

#include "core/record/revise.hpp"
#include "tests/catch.hpp"
#include "tests/classroom/simulated_class.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::classroom;
using nestcup::testing::Outcome;
using nestcup::testing::typed_words;

namespace {

namespace fs = std::filesystem;

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

const Json& usual_record() {
  static const Json record = simulated_record(drawn_class(1, 1, {}).front(), 2, 1);
  return record;
}

std::vector<Json> records_of(const DayBench& bench, const std::string& name) {
  const ClassBench read = read_cheaply(bench, 4);
  std::vector<Json> records;
  for (std::size_t run = 0; run < read.runs.size(); ++run) {
    Json record = cheap_record(usual_record(), read, run);
    name_record(record, name, *class_sheet(), bench.runs[run].trial, int(run % 2) + 1);
    records.push_back(std::move(record));
  }
  return records;
}

/// A class of eight stores in a folder of its own, gone with this object. The third bench took the
/// dilute acid; a run of the fifth is struck out.
class ClassFolder {
 public:
  ClassFolder() {
    std::string pattern = fs::temp_directory_path() / "nestcup-pool-XXXXXX";
    REQUIRE(mkdtemp(pattern.data()) != nullptr);
    path_ = pattern;
    const auto benches = drawn_class(5, 8, {{2, Mishap::dilute_bottle}});
    for (std::size_t i = 0; i < benches.size(); ++i) {
      const std::string name = "team-" + names_[i];
      fs::create_directories(path_ / name);
      records_.push_back(records_of(benches[i], name));
      write_store(path_ / name / "bench.db", records_.back(), class_sheet()->text);
    }
    auto store = Store::open(path_ / "team-Edith" / "bench.db", StoreMode::write);
    REQUIRE(store);
    REQUIRE(change_status(*store, "2", "struck", {"struck", "Edith spilt it", "edith", 1}));
    REQUIRE(store->checkpoint(true));
  }
  ClassFolder(const ClassFolder&) = delete;
  ClassFolder& operator=(const ClassFolder&) = delete;
  ~ClassFolder() { fs::remove_all(path_); }

  [[nodiscard]] const fs::path& path() const { return path_; }
  [[nodiscard]] const std::vector<std::string>& names() const { return names_; }
  [[nodiscard]] const std::vector<Json>& records(std::size_t bench) const {
    return records_[bench];
  }

  /// nestcup pool over all stores.
  [[nodiscard]] Outcome pool(const std::vector<std::string>& options) const {
    std::vector<std::string> words{"pool"};
    for (const std::string& name : names_) words.push_back(path_ / ("team-" + name) / "bench.db");
    words.insert(words.end(), options.begin(), options.end());
    return typed_words(words);
  }

 private:
  fs::path path_;
  std::vector<std::string> names_{"Ada",   "Berta", "Carla", "Doris",
                                  "Edith", "Frida", "Gerda", "Hanna"};
  std::vector<std::vector<Json>> records_;
};

const Json& quantity_of_trial(const Json& sheet, const std::string& trial) {
  for (const Json& quantity : sheet.at("quantities")) {
    if (quantity.at("trial") == trial) return quantity;
  }
  throw std::runtime_error("no quantity of " + trial);
}

}  // namespace

TEST_CASE("a class for scripts: the keys that callers rely on") {
  const ClassFolder folder;
  const Outcome outcome = folder.pool({"--json"});
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  const Json json = Json::parse(outcome.out);
  CHECK(json.at("format") == "nestcup-pool");
  const Json& sheet = json.at("sheets").at(0);
  CHECK(sheet.at("title") == "Two neutralisations");
  CHECK(sheet.at("bench_count") == 8);
  CHECK(sheet.at("run_count") == 8 * 6 - 1);
  const Json quantity = quantity_of_trial(sheet, "neutralisation");
  CHECK(quantity.at("benches") == 8);
  const Json& figures = quantity.at("delta_H_25_kJ_per_mol");
  CHECK(figures.at("robust_mean").at("value").get<double>() == Approx(-57.5).epsilon(0.02));
  CHECK(figures.at("robust_mean").at("u").get<double>() > 0.0);
  CHECK(figures.at("accepted").at("value") == Approx(-57.5).epsilon(0.01));
  CHECK(figures.at("spread").at("reproducibility_sd").get<double>() >=
        figures.at("spread").at("repeatability_sd").get<double>());
  // The third bench is far off; without it single runs of two benches differ by their strengths.
  CHECK(figures.at("spread").at("reproducibility_sd").get<double>() > 5.0);
  CHECK(figures.at("spread_in_line").at("reproducibility_sd").get<double>() < 1.5);
  const Json& carla = figures.at("values").at(2);
  CHECK(carla.at("bench") == "team-Carla");
  CHECK(carla.at("standing") == "outlying");
  CHECK(carla.at("runs").size() == 2);
  CHECK(sheet.at("benches").at(2).at("reasons").at(0).at("code") == "other-stock");
  CHECK(sheet.at("benches").at(2).at("reasons").at(0).at("trust") == "strong");
  const Json& struck = sheet.at("benches").at(4).at("left_out").at(0);
  CHECK(struck.at("run") == "run 2");
  CHECK(struck.at("why") == "struck out");
  CHECK(struck.at("reason") == "Edith spilt it");
}

TEST_CASE("a class for people: tables with numbers and titles, reasons, what is left out") {
  const ClassFolder folder;
  const Outcome outcome = folder.pool({});
  REQUIRE(outcome.code == 0);
  for (const char* const part :
       {"Two neutralisations: 8 benches, 47 recorded runs", "Table 1. The class as a whole",
        "Table 4. neutralisation: enthalpy at 25 \xC2\xB0", "outlying",
        "team-Carla: outlying in neutralisation", "the wrong bottle?", "Left out: 1 run\n",
        "team-Edith, run 2 (warm): struck out: Edith spilt it"}) {
    INFO(part);
    CHECK(outcome.out.find(part) != std::string::npos);
  }
}

TEST_CASE("without names nothing tells who was who") {
  const ClassFolder folder;
  const std::string option = GENERATE("--anonymous", "--nameless");
  const fs::path csv = folder.path() / "out.csv";
  const Outcome page = folder.pool({option});
  const Outcome json = folder.pool({option, "--json", "--csv", csv.string()});
  REQUIRE(page.code == 0);
  REQUIRE(json.code == 0);
  const std::string all = page.out + page.err + json.out + json.err + text_of(csv);
  for (const std::string& name : folder.names()) CHECK(all.find(name) == std::string::npos);
  CHECK(all.find("spilt") == std::string::npos);
  CHECK(all.find("team-") == std::string::npos);
  CHECK(all.find(folder.path().string()) == std::string::npos);
  CHECK(all.find("0190") == std::string::npos);  // of the runs' ids
  const Json found = Json::parse(json.out);
  const Json values =
      quantity_of_trial(found.at("sheets").at(0), "ammonia").at("delta_H_kJ_per_mol");
  CHECK(values.at("values").size() == 8);
  if (option == "--nameless") {
    double before = -1e9;
    for (const Json& value : values.at("values")) {
      CHECK(value.at("bench").is_null());
      CHECK(value.at("value").get<double>() >= before);
      before = value.at("value");
    }
  } else {
    CHECK(values.at("values").at(0).at("bench") == "A");
    CHECK(values.at("values").at(7).at("bench") == "H");
    // The same runs get the same letters, whatever order they are named in.
    CHECK(folder.pool({option, "--json"}).out == json.out);
  }
}

TEST_CASE("notebook folders and single records count as the store does, and only once") {
  const ClassFolder folder;
  const fs::path notebook = folder.path() / "notebook";
  std::vector<std::string> single{"pool", "--json"};
  for (std::size_t run = 0; run < 6; ++run) {
    const fs::path place = notebook / ("run " + std::to_string(run));
    fs::create_directories(place);
    std::ofstream(place / "run.json") << folder.records(0)[run].dump(2);
    single.push_back(place / "run.json");
  }
  const std::string store = folder.path() / "team-Ada" / "bench.db";
  // The sheet is found beside the notebook.
  CHECK(typed_words({"pool", notebook}).code == 65);
  std::ofstream(folder.path() / "sheet.toml") << class_sheet()->text;
  const Json by_store = Json::parse(typed_words({"pool", "--json", store}).out);
  CHECK(Json::parse(typed_words({"pool", "--json", notebook}).out)
            .at("sheets")
            .at(0)
            .at("quantities")
            .at(0)
            .at("calorimeter_constant_J_per_K")
            .at("mean") == by_store.at("sheets")
                               .at(0)
                               .at("quantities")
                               .at(0)
                               .at("calorimeter_constant_J_per_K")
                               .at("mean"));
  CHECK(Json::parse(typed_words(single).out).at("sheets").at(0).at("run_count") == 6);
  const Json both = Json::parse(typed_words({"pool", "--json", store, notebook}).out);
  CHECK(both.at("sheets").at(0).at("bench_count") == 1);
  CHECK(both.at("sheets").at(0).at("run_count") == 6);
}

TEST_CASE("one name from two places is two benches, and that is said") {
  const ClassFolder folder;
  for (const char* const place : {"left", "right"}) {
    fs::create_directories(folder.path() / place);
    auto records = folder.records(place[0] == 'l' ? 0 : 1);
    for (Json& record : records) record["bench"] = "demo";
    write_store(folder.path() / place / "bench.db", records, class_sheet()->text);
  }
  const Outcome outcome =
      typed_words({"pool", "--json", folder.path() / "left", folder.path() / "right"});
  REQUIRE(outcome.code == 0);
  const Json json = Json::parse(outcome.out);
  CHECK(json.at("sheets").at(0).at("benches").at(0).at("bench") == "demo (left)");
  CHECK(json.at("sheets").at(0).at("benches").at(1).at("bench") == "demo (right)");
  CHECK(json.at("notes").at(0).get<std::string>().find("2 places") != std::string::npos);
}

TEST_CASE("benches stand in the order of their numbers") {
  const ClassFolder folder;
  std::vector<std::string> words{"pool", "--json"};
  for (const char* const name : {"bench-10", "bench-9", "bench-02"}) {
    auto records = folder.records(words.size() - 2);
    for (Json& record : records) record["bench"] = name;
    words.push_back(folder.path() / (std::string(name) + ".db"));
    write_store(words.back(), records, class_sheet()->text);
  }
  const Json json = Json::parse(typed_words(words).out);
  const Json& benches = json.at("sheets").at(0).at("benches");
  CHECK(benches.at(0).at("bench") == "bench-02");
  CHECK(benches.at(1).at("bench") == "bench-9");
  CHECK(benches.at(2).at("bench") == "bench-10");
}

TEST_CASE("a folder with a sheet on paper is a bench, too") {
  const ClassFolder folder;
  std::string text = class_sheet()->text;
  const std::string equation = "equation = \"H+(aq) + OH-(aq) -> H2O(l)\"";
  text.replace(text.find(equation), equation.size(),
               equation +
                   "\ntyped = { cup_degC = 21.0, added_degC = 21.0, final_degC = 27.4, "
                   "u_degC = 0.05 }");
  text.replace(text.find("kind ="), 6, "constant_J_per_K = 25.0\nkind =");
  fs::create_directories(folder.path() / "on-paper");
  std::ofstream(folder.path() / "on-paper" / "sheet.toml") << text;
  const Outcome outcome = typed_words(
      {"pool", "--json", folder.path() / "on-paper", folder.path() / "team-Ada" / "bench.db"});
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  const Json json = Json::parse(outcome.out);
  CHECK(json.at("sheets").at(0).at("bench_count") == 2);
  const Json values = quantity_of_trial(json.at("sheets").at(0), "neutralisation")
                           .at("delta_H_25_kJ_per_mol")
                           .at("values");
  CHECK(values.at(0).at("bench") == "on-paper");
  CHECK(values.at(0).at("value").get<double>() == Approx(-56.5).epsilon(0.05));
}

TEST_CASE("the table for spreadsheets has a row for each bench and quantity") {
  const ClassFolder folder;
  const fs::path csv = folder.path() / "class.csv";
  REQUIRE(folder.pool({"--csv", csv.string()}).code == 0);
  const std::string text = text_of(csv);
  CHECK(text.starts_with("sheet,of,quantity,unit,bench,runs,value,u,dof,"));
  CHECK(std::count(text.begin(), text.end(), '\n') == 1 + 4 * 8);
  CHECK(std::count(text.begin(), text.end(), '\r') == 1 + 4 * 8);
  CHECK(text.find("Two neutralisations,neutralisation,enthalpy at 25 degC,kJ/mol,team-Ada,2,-5") !=
        std::string::npos);
  // A file that is there is never written over.
  const Outcome again = folder.pool({"--csv", csv.string()});
  CHECK(again.code == 73);
  CHECK(again.out.empty());
  CHECK(text_of(csv) == text);
  CHECK(folder.pool({"--csv", "-"}).out == text);
  CHECK(folder.pool({"--csv", "-", "--json"}).code == 64);
}

TEST_CASE("a sheet for all wins over the benches' own") {
  const ClassFolder folder;
  std::string text = class_sheet()->text;
  text.replace(text.find("Two neutralisations"), 3, "All");
  const fs::path sheet = folder.path() / "all.toml";
  std::ofstream(sheet) << text;
  const Outcome outcome = folder.pool({"--json", "--sheet", sheet.string()});
  REQUIRE(outcome.code == 0);
  CHECK(Json::parse(outcome.out).at("sheets").at(0).at("title") == "All neutralisations");
}

TEST_CASE("what is wrong with a class is said once, with its exit code") {
  const ClassFolder folder;
  CHECK(typed_words({"pool"}).code == 64);
  CHECK(typed_words({"pool", folder.path() / "none"}).code == 66);
  fs::create_directories(folder.path() / "empty");
  const Outcome empty = typed_words({"pool", folder.path() / "empty"});
  CHECK(empty.code == 65);
  CHECK(empty.err.find("holds no store") != std::string::npos);
  std::ofstream(folder.path() / "note.txt") << "no record";
  CHECK(typed_words({"pool", folder.path() / "note.txt"}).code == 65);
  std::ofstream(folder.path() / "other.json") << R"({"status": "finished"})";
  const Outcome other = typed_words({"pool", folder.path() / "other.json"});
  CHECK(other.code == 65);
  CHECK(other.err.find("other.json") != std::string::npos);
  CHECK(std::count(other.err.begin(), other.err.end(), '\n') == 1);
}
