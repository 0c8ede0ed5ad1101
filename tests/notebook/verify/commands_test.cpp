// nestcup verify and nestcup import as people and scripts call them.
#include "core/record/run_record.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/verify/carried_bench.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("verify by the bench file, for people and for scripts") {
  const CarriedBench bench;
  const Outcome people = typed_words({"verify", "--bench", bench.bench_file()});
  INFO(people.err);
  CHECK(people.code == 0);
  CHECK(says(people.out, bench.store_path() + ": run 1: belongs together"));
  CHECK(says(people.out, bench.run_folder(3) + ": belongs together"));
  CHECK(says(people.out, "6 runs belong together\n"));

  const Outcome scripts = typed_words({"verify", "--json", "--bench", bench.bench_file()});
  REQUIRE(scripts.code == 0);
  const Json json = Json::parse(scripts.out);
  CHECK(json.at("well") == 6);
  CHECK(json.at("wrong") == 0);
  CHECK(json.at("chains").size() == 2);
  CHECK(json.at("chains")[0].at("links") == 5);
  const Json& run = json.at("runs").at(1);
  CHECK(run.at("number") == 2);
  CHECK(run.at("bench") == "bench-4");
  CHECK(run.at("revision") == 3);
  CHECK(run.at("verdict") == "belongs together");
  CHECK(run.at("problems").empty());
  CHECK(run.at("rise_K").at("recorded").get<double>() == Approx(6.0).margin(0.1));
  CHECK(std::abs(run.at("rise_K").at("difference_K").get<double>()) <= 1e-9);
}

TEST_CASE("verify says what is wrong, where, and with exit code 65") {
  const CarriedBench bench;
  bench.sql(
      "UPDATE reading SET temperature_degC = temperature_degC + 0.01 WHERE time_us = "
      "(SELECT last_us FROM run WHERE number = 2)");
  const Outcome outcome = typed_words({"verify", "--store", bench.store_path()});
  CHECK(outcome.code == 65);
  CHECK(says(outcome.out, "run 2: does not belong together (rise "));
  CHECK(says(outcome.out, " K)\n  " + bench.store_path() + ": run 2, table reading, time_us "));
  CHECK(says(outcome.out, "2 runs belong together; wrong: 1 (runs, chains or places)"));
  const Outcome scripts = typed_words({"verify", "--store", bench.store_path(), "--json"});
  CHECK(scripts.code == 65);
  const Json json = Json::parse(scripts.out);
  CHECK(json.at("wrong") == 1);
  CHECK(json.at("runs")[1].at("verdict") == "does not belong together");
  CHECK(json.at("runs")[1].at("problems")[0].at("code") == "readings-digest");
}

TEST_CASE("verify of places alone needs no bench") {
  const CarriedBench bench;
  CHECK(typed_words({"verify", bench.notebook()}).code == 0);
  const Outcome one = typed_words({"verify", bench.run_folder(2)});
  CHECK(one.code == 0);
  CHECK(says(one.out, "1 run belongs together"));
  // The store was cut: it shows where a notebook is named beside it.
  bench.sql(
      "DELETE FROM owed WHERE link = 5; DELETE FROM link WHERE number = 5;"
      "DELETE FROM run_record WHERE run = 2 AND revision = 3;"
      "UPDATE run SET revision = 2, status = 'struck' WHERE number = 2;"
      "UPDATE chain SET links = 4, last_sha256 = (SELECT sha256 FROM link WHERE number = 4);");
  CHECK(typed_words({"verify", "--store", bench.store_path()}).code == 0);
  const Outcome both = typed_words({"verify", "--store", bench.store_path(), bench.notebook()});
  CHECK(both.code == 65);
  CHECK(says(both.out, "the last records are missing there"));
  CHECK(typed_words({"verify", "--bench", bench.bench_file()}).code == 65);
}

TEST_CASE("verify where nothing is") {
  const CarriedBench bench;
  CHECK(typed_words({"verify", bench.at("nowhere")}).code == 66);
  CHECK(typed_words({"verify", "--store", bench.at("nowhere.db")}).code == 66);
  std::filesystem::create_directory(bench.at("empty"));
  const Outcome empty = typed_words({"verify", bench.at("empty")});
  CHECK(empty.code == 66);
  CHECK(says(empty.err, "nothing to verify"));
  const Outcome file = typed_words({"verify", bench.bench_file()});
  CHECK(file.code == 65);
  CHECK(says(file.err, bench.bench_file()));
}

TEST_CASE("import makes the store, and results are the same") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  const Outcome dry = typed_words({"import", "--store", path, bench.notebook(), "--dry-run"});
  CHECK(dry.code == 0);
  CHECK(says(dry.out, "3 runs would be taken, 0 there already, 0 refused; nothing is written"));
  CHECK_FALSE(std::filesystem::exists(path));
  const Outcome done = typed_words({"import", "--store", path, bench.notebook()});
  INFO(done.err);
  CHECK(done.code == 0);
  CHECK(says(done.out, "added as run 2, 3 revisions"));
  const std::string sheet = bench.run_folder(1) + "/sheet.toml";
  const Outcome before =
      typed_words({"results", "--json", "--store", bench.store_path(), "--sheet", sheet});
  const Outcome after = typed_words({"results", "--json", "--store", path, "--sheet", sheet});
  REQUIRE(before.code == 0);
  CHECK(before.out == after.out);
  const Outcome again = typed_words({"import", "--store", path, "--json", bench.notebook()});
  CHECK(again.code == 0);
  const Json json = Json::parse(again.out);
  CHECK(json.at("added") == 0);
  CHECK(json.at("there") == 3);
  CHECK(json.at("runs")[0].at("outcome") == "there");
  CHECK(typed_words({"verify", "--store", path, bench.notebook()}).code == 0);
}

TEST_CASE("import of a broken run: the rest is taken, exit code 65") {
  const CarriedBench bench;
  CarriedBench::change(bench.run_folder(1) + "/readings.csv", "\n0.5,", "\n0.6,");
  const Outcome outcome = typed_words({"import", "--store", bench.at("new.db"), bench.notebook()});
  CHECK(outcome.code == 65);
  CHECK(says(outcome.out, bench.run_folder(1) + ": refused\n"));
  CHECK(says(outcome.out, "2 runs taken, 0 there already, 1 refused"));
}

TEST_CASE("import while another process writes the store") {
  const CarriedBench bench;
  const auto lock = taken(StoreLock::take(bench.at("new.db"), "nestcupd"));
  const Outcome outcome = typed_words({"import", "--store", bench.at("new.db"), bench.notebook()});
  CHECK(outcome.code == 75);
  CHECK_FALSE(std::filesystem::exists(bench.at("new.db")));
}

TEST_CASE("import of several benches asks for one") {
  const CarriedBench bench;
  const CarriedBench other("bench-5");
  const std::string path = bench.at("new.db");
  const Outcome several =
      typed_words({"import", "--store", path, bench.notebook(), other.notebook()});
  CHECK(several.code == 64);
  CHECK(says(several.err, "2 benches (bench-4, bench-5)"));
  CHECK(says(several.err, "--only"));
  CHECK_FALSE(std::filesystem::exists(path));
  const Outcome one = typed_words(
      {"import", "--store", path, bench.notebook(), other.notebook(), "--only", "bench-5"});
  CHECK(one.code == 0);
  CHECK(says(one.out, "3 runs taken"));
  // Both measured at the same time: into one store they do not fit.
  const Outcome into = typed_words({"import", "--store", path, bench.notebook()});
  CHECK(into.code == 65);
  CHECK(says(into.out, "the store has another run"));
  CHECK(says(into.out, "0 runs taken, 0 there already, 3 refused"));
  const Outcome none = typed_words({"import", "--store", path, bench.notebook(), "--only", "x"});
  CHECK(none.code == 66);
  CHECK(says(none.err, "bench-4"));
}

TEST_CASE("the same run in two places is taken once") {
  const CarriedBench bench;
  const Outcome twice =
      typed_words({"import", "--store", bench.at("new.db"), bench.notebook(), bench.run_folder(1)});
  CHECK(twice.code == 0);
  CHECK(says(twice.out, "3 runs taken, 0 there already, 0 refused"));
}
