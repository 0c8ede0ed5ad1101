// Stores that somebody changed with another program: a table or a column that is not there, rows
// that are gone, words where others were. Every command that looks at a store says so in one line
// with an exit code of its own, or does its work; none ends by an exception, and none that only
// looks writes into it.
#include <fmt/format.h>
#include <sqlite3.h>

#include <cstdlib>
#include <exception>
#include <filesystem>
#include <fstream>

#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using testing::Outcome;
using testing::typed_words;

namespace {

namespace fs = std::filesystem;

/// Another program's hand on a store.
class Foreign {
 public:
  explicit Foreign(const std::string& path) {
    REQUIRE(sqlite3_open(path.c_str(), &handle_) == SQLITE_OK);
    REQUIRE(run("PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF"));
  }
  Foreign(const Foreign&) = delete;
  Foreign& operator=(const Foreign&) = delete;
  ~Foreign() { sqlite3_close(handle_); }

  bool run(const std::string& sql) {
    return sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK;
  }
  /// First column of each row.
  std::vector<std::string> answers(const std::string& sql) {
    std::vector<std::string> rows;
    const auto take = [](void* into, int, char** columns, char**) {
      static_cast<std::vector<std::string>*>(into)->emplace_back(columns[0]);
      return 0;
    };
    REQUIRE(sqlite3_exec(handle_, sql.c_str(), take, &rows, nullptr) == SQLITE_OK);
    return rows;
  }

 private:
  sqlite3* handle_ = nullptr;
};

/// Every way to spoil this store, as SQL.
std::vector<std::string> ways_to_spoil(const std::string& path) {
  Foreign store(path);
  std::vector<std::string> ways;
  for (const std::string& table :
       store.answers("SELECT name FROM sqlite_schema WHERE type = 'table' AND "
                     "name NOT LIKE 'sqlite_%' ORDER BY name")) {
    ways.push_back(fmt::format("ALTER TABLE {0} RENAME TO {0}_gone", table));
    ways.push_back(fmt::format("DELETE FROM {}", table));
    for (const std::string& column :
         store.answers(fmt::format("SELECT name FROM pragma_table_info('{}')", table))) {
      ways.push_back(fmt::format("ALTER TABLE {0} RENAME COLUMN {1} TO {1}_gone", table, column));
      // All rows, and one beside others that are as they should be.
      for (const char* which : {"", " WHERE rowid = 1"})
        ways.push_back(
            fmt::format("UPDATE OR IGNORE {0} SET {1} = CASE typeof({1}) WHEN 'text' THEN '{{}}' "
                        "ELSE -7 END{2}",
                        table, column, which));
    }
  }
  return ways;
}

/// A class's folder: the whole store, the sheet, and a bench file with a notebook.
class Bench {
 public:
  Bench() {
    make_simulated_store(folder_.at("whole.db"), {2, 1});
    std::ofstream(folder_.at("sheet.toml")) << simulated_sheet;
    std::ofstream(folder_.at("bench.toml"))
        << "[bench]\nname = \"bench-4\"\nstore = \"bench.db\"\n[[port]]\nname = \"p\"\n"
           "device = \"/dev/null\"\n[[probe]]\nname = \"cup\"\nport = \"p\"\ncolumn = 1\n"
           "role = \"cup\"\nunit = \"degC\"\n[[notebook]]\nkind = \"folder\"\npath = "
           "\"notebook\"\ncharts = false\n";
    REQUIRE(spoil("SELECT 1"));
    REQUIRE(typed_words({"sync", "--bench=" + at("bench.toml")}).code == 0);
    fs::rename(at("notebook"), at("carried"));
  }

  [[nodiscard]] std::string at(const std::string& name) const { return folder_.at(name); }
  [[nodiscard]] std::string store() const { return at("bench.db"); }

  /// @return whether the store is another now
  [[nodiscard]] bool spoil(const std::string& how) const {
    for (const char* old : {"out", "notebook", "copy.db", "new.db", "bench.db", "bench.db-wal",
                            "bench.db-shm", "new.db-wal", "new.db-shm", "new.db.lock"}) {
      fs::remove_all(at(old));
    }
    fs::create_directory(at("out"));
    fs::copy_file(at("whole.db"), store());
    return Foreign(store()).run(how + "; PRAGMA wal_checkpoint(TRUNCATE)");
  }

  /// What only looks at the store, as typed.
  [[nodiscard]] std::vector<std::vector<std::string>> looks() const {
    const std::string from = "--store=" + store();
    const std::string by = "--sheet=" + at("sheet.toml");
    return {{"runs", from},
            {"runs", from, "--json"},
            {"show", "1", from, "--json"},
            {"show", "2", from, "--revision=1"},
            {"export", "1", from, "--out=" + at("out/1.csv")},
            {"results", from, by},
            {"results", from, by, "--json"},
            {"sheet", "show", from, "--sha256=" + std::string(64, 'a')},
            {"calibrate", "--list", from},
            {"pool", store(), "--json"},
            {"sync", "--bench=" + at("bench.toml"), "--dry-run"},
            {"backup", from, "--out=" + at("copy.db")}};
  }
  /// The same with charts, or rises worked out anew, which take their time.
  [[nodiscard]] std::vector<std::vector<std::string>> long_looks() const {
    const std::string from = "--store=" + store();
    return {{"report", from, "--sheet=" + at("sheet.toml"), "--out=" + at("out/report.html")},
            {"pack", from, "--out=" + at("out/pack.eln")},
            {"verify", from, "--json"},
            {"recompute", from, "--dry-run"}};
  }
  /// What writes into it.
  [[nodiscard]] std::vector<std::vector<std::string>> changes() const {
    return {{"sync", "--bench=" + at("bench.toml")},
            {"sync", "--bench=" + at("bench.toml"), "--json"},
            {"import", "--store=" + store(), "--from=" + at("carried")}};
  }

 private:
  TemporaryFolder folder_;
};

std::string line_of(const std::vector<std::string>& words) {
  return fmt::format("nestcup {}", fmt::join(words, " "));
}

/// Exit codes that are an answer: 70 would be a mistake of ours.
bool is_answer(int code) {
  return code == 0 || code == 1 || (code >= 64 && code <= 78 && code != 70);
}

/// Does as typed. @return the exit code
int checked(const std::string& how, const std::vector<std::string>& words) {
  INFO(how << ": " << line_of(words));
  try {
    const Outcome outcome = typed_words(words);
    INFO(outcome.code << ' ' << outcome.err);
    CHECK(is_answer(outcome.code));
    CHECK((outcome.code == 0 || !(outcome.err + outcome.out).empty()));
    return outcome.code;
  } catch (const std::exception& problem) {
    FAIL_CHECK(problem.what());
    return 70;
  }
}

/// Every so manieth way to spoil a store is tried; sanitizers want more than one.
std::size_t stride() {
  const char* given = std::getenv("NESTCUP_TEST_EVERY");
  return given == nullptr ? 1 : std::stoul(given);
}

}  // namespace

TEST_CASE("a store as it should be: every command does its work") {
  const Bench bench;
  REQUIRE(bench.spoil("SELECT 1"));
  for (const auto& group : {bench.looks(), bench.long_looks(), bench.changes()}) {
    for (const auto& words : group) {
      CHECK(checked("", words) == (words[0] == "sheet" ? 66 : 0));
    }
  }
}

TEST_CASE("a store that another program changed") {
  const Bench bench;
  const auto ways = ways_to_spoil(bench.at("whole.db"));
  int failed = 0, spoilt = 0;
  for (std::size_t i = 0; i < ways.size(); i += stride()) {
    if (!bench.spoil(ways[i])) continue;
    const std::string before = TemporaryFolder::text_of(bench.store());
    auto looks = bench.looks();
    const auto long_looks = bench.long_looks();
    looks.push_back(long_looks[static_cast<std::size_t>(spoilt) % long_looks.size()]);
    bool is_noticed = false;
    for (const auto& words : looks) is_noticed = checked(ways[i], words) != 0 || is_noticed;
    CHECK(TemporaryFolder::text_of(bench.store()) == before);
    for (const auto& words : bench.changes()) checked(ways[i], words);
    failed += static_cast<int>(is_noticed);
    ++spoilt;
  }
  INFO(failed << " of " << spoilt);
  CHECK(failed > spoilt / 2);
}
