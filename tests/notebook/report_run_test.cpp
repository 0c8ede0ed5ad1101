// The run of a record file, as a report takes it.
#include "core/notebook/report_runs.hpp"

#include <filesystem>
#include <fstream>

#include "core/notebook/run_entry.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

/// A notebook's folder with record and readings of two runs.
class RunFolders {
 public:
  RunFolders() {
    make_simulated_store(folder_.at("bench.db"), {2, 2, analysis_version, ""});
    const Store store = Store::open(folder_.at("bench.db"), StoreMode::read).value();
    for (const int number : {1, 2}) {
      const auto run = store.find_run(std::to_string(number));
      const RunEntry entry =
          run_entry(store, run->id, run->revision, {Language::english, false}).value();
      std::filesystem::create_directory(path(number));
      for (const BundleFile& file : entry.files) {
        if (file.path != "run.json" && file.path != "readings.csv") continue;
        std::ofstream(path(number) / file.path, std::ios::binary) << file.bytes;
      }
    }
  }

  [[nodiscard]] std::filesystem::path path(int number) const {
    return folder_.at("run-" + std::to_string(number));
  }
  [[nodiscard]] Result<ReportRun> read(int number) const {
    return report_run((path(number) / "run.json").string(), Language::english);
  }

 private:
  TemporaryFolder folder_;
};

}  // namespace

TEST_CASE("a record file comes with the readings beside it") {
  const RunFolders folders;
  const auto run = folders.read(1);
  REQUIRE(run);
  CHECK(run->name == "run-1");
  CHECK(run->cup.size() > 100);
  CHECK(run->chart);
}

TEST_CASE("readings that are missing, or another run's, leave the record alone") {
  const RunFolders folders;
  const auto readings = folders.path(1) / "readings.csv";
  std::filesystem::copy_file(folders.path(2) / "readings.csv", readings,
                             std::filesystem::copy_options::overwrite_existing);
  const auto others = folders.read(1);
  REQUIRE(others);
  CHECK(others->cup.empty());
  CHECK_FALSE(others->chart);

  std::filesystem::remove(readings);
  const auto alone = folders.read(1);
  REQUIRE(alone);
  CHECK(alone->cup.empty());
  CHECK(alone->record.at("id") == others->record.at("id"));
}

TEST_CASE("what is no record of a run, or spoilt readings, is said with its file") {
  const RunFolders folders;
  const auto missing = folders.read(3);
  REQUIRE_FALSE(missing);
  CHECK(missing.error().kind == Fault::no_input);

  std::ofstream(folders.path(1) / "readings.csv", std::ios::trunc) << "time_s,cup_degC\n1,x\n";
  const auto spoilt = folders.read(1);
  REQUIRE_FALSE(spoilt);
  CHECK_THAT(spoilt.error().text, ContainsSubstring("readings.csv:2"));

  for (const char* const text : {"no JSON", R"({"format": "another"})", "{}"}) {
    std::ofstream(folders.path(2) / "run.json", std::ios::trunc) << text;
    const auto other = folders.read(2);
    REQUIRE_FALSE(other);
    CHECK(other.error().kind == Fault::bad_data);
    CHECK_THAT(other.error().text, ContainsSubstring("run.json of a notebook is expected"));
  }
}
