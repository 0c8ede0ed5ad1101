// Runs on their way into a folder: what arrives, what stays, what is told.
#include "core/notebook/folder_notebook.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "core/notebook/carrier.hpp"
#include "core/record/revise.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

namespace fs = std::filesystem;

/// A store of three simulated runs (the last struck out) and a notebook folder beside it.
class Bench {
 public:
  Bench() : store_(make()) {
    const std::vector<std::string> names{notebook_name(settings())};
    REQUIRE(Outbox(store_).use_notebooks(names, now_us));
  }

  [[nodiscard]] NotebookSettings settings() const { return {"folder", folder_.at("notebook")}; }
  [[nodiscard]] fs::path notebook() const { return folder_.at("notebook"); }
  [[nodiscard]] std::string path(const std::string& name) const { return folder_.at(name); }
  Store& store() { return store_; }

  CarryCount pass(int failed_passes = 0) {
    const auto head = Chain(store_).head();
    const auto notebook = open_notebook(settings(), book_mark(head->book));
    StoreNotes notes(store_);
    CarryOptions options;
    options.entry.charts = false;
    options.now_us = [this] { return now_us; };
    options.failed_passes = failed_passes;
    const auto count = carry(store_, **notebook, notes, options);
    REQUIRE(count);
    return *count;
  }

  [[nodiscard]] std::vector<fs::path> run_folders() const {
    std::vector<fs::path> found;
    for (const auto& entry : fs::directory_iterator(notebook())) {
      if (entry.is_directory()) found.push_back(entry.path());
    }
    std::sort(found.begin(), found.end());
    return found;
  }

  [[nodiscard]] fs::path folder_of(int number) const {
    const auto run = store_.find_run(std::to_string(number));
    const auto first = store_.revisions(run->id);
    return notebook() / entry_folder(Json::parse(first->front().record_json));
  }

  /// All indexes; they name a run by its folder.
  [[nodiscard]] std::string index_text() const {
    std::string text;
    for (const auto& entry : fs::directory_iterator(notebook())) {
      if (!entry.path().filename().string().starts_with("index ")) continue;
      text += TemporaryFolder::text_of(entry.path().string());
    }
    return text;
  }

  TimeUs now_us = 1'790'000'000'000'000;

 private:
  Store make() {
    make_simulated_store(folder_.at("bench.db"), {3, 1});
    return Store::open(folder_.at("bench.db"), StoreMode::write).value();
  }

  TemporaryFolder folder_;
  Store store_;
};

Json json_at(const fs::path& path) {
  return Json::parse(TemporaryFolder::text_of(path.string()));
}

void write(const fs::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << text;
}

bool mentions(const std::vector<std::string>& remarks, const std::string& words) {
  return std::any_of(remarks.begin(), remarks.end(), [&](const std::string& remark) {
    return remark.find(words) != std::string::npos;
  });
}

}  // namespace

TEST_CASE("finished runs arrive once and whole, each in a folder of its own") {
  Bench bench;
  const CarryCount count = bench.pass();
  CHECK(count.carried == 4);
  CHECK(count.waiting == 0);
  CHECK(count.failure.empty());
  REQUIRE(bench.run_folders().size() == 3);
  for (int number = 1; number <= 3; ++number) {
    const auto run = bench.store().find_run(std::to_string(number));
    const fs::path folder = bench.folder_of(number);
    CHECK(json_at(folder / "run.json") == Json::parse(run->record_json));
    const auto entry = run_entry(bench.store(), run->id, run->revision, {Language::english, false});
    REQUIRE(entry);
    for (const BundleFile& file : entry->files) {
      CHECK(TemporaryFolder::text_of((folder / file.path).string()) == file.bytes);
    }
  }
  CHECK(bench.pass().carried == 0);
}

TEST_CASE("the notebook keeps where the chain ends, and an index of the month") {
  Bench bench;
  bench.pass();
  const auto head = Chain(bench.store()).head();
  FolderNotebook notebook(bench.settings(), book_mark(head->book));
  const auto kept = notebook.head(head->book, "bench-4");
  REQUIRE(kept);
  CHECK(kept->head.links == head->links);
  CHECK(kept->head.last_sha256 == head->last_sha256);
  CHECK(notebook.head("another", "").value().head.book.empty());
  int indexes = 0;
  for (const auto& entry : fs::directory_iterator(bench.notebook())) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with("index ")) continue;
    ++indexes;
    const std::string text = TemporaryFolder::text_of(entry.path().string());
    for (const fs::path& run : bench.run_folders()) {
      CHECK(text.find("[" + run.filename().string() + "]") != std::string::npos);
    }
    CHECK(text.find("struck out") != std::string::npos);
  }
  CHECK(indexes == 1);
}

TEST_CASE("a new revision takes the place of what nobody touched, and the old record stays") {
  Bench bench;
  bench.pass();
  const fs::path folder = bench.folder_of(1);
  const Json before = json_at(folder / "run.json");
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  const CarryCount count = bench.pass();
  CHECK(count.carried == 1);
  CHECK(count.remarks.empty());
  CHECK(json_at(folder / "run.json").at("status") == "struck");
  CHECK(json_at(folder / "run.r1.json") == before);
  CHECK(TemporaryFolder::text_of((folder / "page.md").string()).find("lid was off") !=
        std::string::npos);
  CHECK(json_at(folder / "proof.json").at("revisions").size() == 2);
}

TEST_CASE("a page that somebody wrote in stays, and the new one lies beside it") {
  Bench bench;
  bench.pass();
  const fs::path folder = bench.folder_of(1);
  const std::string mine = TemporaryFolder::text_of((folder / "page.md").string()) + "\nMy notes.";
  write(folder / "page.md", mine);
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  const CarryCount count = bench.pass();
  CHECK(count.carried == 1);
  CHECK(mentions(count.remarks, "page.r2.md"));
  CHECK(TemporaryFolder::text_of((folder / "page.md").string()) == mine);
  CHECK(TemporaryFolder::text_of((folder / "page.r2.md").string()).find("lid was off") !=
        std::string::npos);
  CHECK(json_at(folder / "run.json").at("status") == "struck");
}

TEST_CASE("an index that somebody wrote in stays, too") {
  Bench bench;
  bench.pass();
  fs::path index;
  for (const auto& entry : fs::directory_iterator(bench.notebook())) {
    if (entry.path().filename().string().starts_with("index ")) index = entry.path();
  }
  write(index, "mine");
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  CHECK(mentions(bench.pass().remarks, "(anew).md"));
  CHECK(TemporaryFolder::text_of(index.string()) == "mine");
}

TEST_CASE("what is in a run's place and is not that run blocks it alone") {
  Bench bench;
  const fs::path folder = bench.folder_of(2);
  fs::create_directories(folder);
  write(folder / "run.json", R"({"id":"something else"})");
  const std::string id = bench.store().find_run("2")->id;
  const fs::path longer = folder.string() + id.substr(id.size() - 12, 6);
  SECTION("a longer name helps") {
    CHECK(bench.pass().carried == 4);
    CHECK(json_at(longer / "run.json").at("id") == id);
  }
  SECTION("unless that is taken, too") {
    fs::create_directories(longer);
    const CarryCount count = bench.pass();
    CHECK(count.carried == 3);
    CHECK(count.blocked == 1);
    CHECK(count.failure.empty());
    const auto owed = OutboxView(bench.store()).owed(notebook_name(bench.settings()), 0, 10);
    REQUIRE(owed->size() == 1);
    CHECK(owed->front().blocked);
    CHECK(owed->front().reason.find("move it away") != std::string::npos);
    fs::remove_all(longer);
    CHECK(bench.pass().carried == 0);  // until somebody asks
    CHECK(bench.index_text().find(folder.filename().string()) == std::string::npos);
    REQUIRE(Outbox(bench.store()).try_again(notebook_name(bench.settings())));
    CHECK(bench.pass().carried == 1);
    CHECK(bench.index_text().find(folder.filename().string()) != std::string::npos);
  }
  CHECK(json_at(folder / "run.json").at("id") == "something else");
}

TEST_CASE("a folder that was moved away is waited for, and not made anew") {
  Bench bench;
  bench.pass();
  fs::rename(bench.notebook(), bench.path("away"));
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  const CarryCount gone = bench.pass();
  CHECK(gone.carried == 0);
  CHECK(gone.waiting == 1);
  CHECK(gone.failure.find("moved") != std::string::npos);
  CHECK_FALSE(fs::exists(bench.notebook()));
  fs::rename(bench.path("away"), bench.notebook());
  CHECK(bench.pass().carried == 0);  // the pause has not passed
  bench.now_us += 60'000'000;
  CHECK(bench.pass().carried == 1);
}

TEST_CASE("the empty place of a disk that is not mounted is no notebook") {
  Bench bench;
  bench.pass();
  fs::rename(bench.notebook(), bench.path("away"));
  fs::create_directories(fs::path(bench.notebook()) / "lost+found");
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  const CarryCount gone = bench.pass();
  CHECK(gone.carried == 0);
  CHECK(gone.failure.find("not mounted") != std::string::npos);
  SECTION("it is, later") {
    fs::remove_all(bench.notebook());
    fs::rename(bench.path("away"), bench.notebook());
  }
  SECTION("it was emptied on purpose") {
    write(fs::path(bench.notebook()) / "emptied.txt", "by me");
  }
  bench.now_us += 60'000'000;
  CHECK(bench.pass().carried == 1);
}

TEST_CASE("a store that knows less than its notebook says so") {
  Bench bench;
  bench.pass();
  const auto head = Chain(bench.store()).head();
  FolderNotebook notebook(bench.settings(), book_mark(head->book));
  KeptHead more{"bench", *head};
  more.head.links += 2;
  const auto kept = notebook.head(head->book, "bench-4");
  more.bench = kept->bench;
  REQUIRE(notebook.keep_head(more));
  CHECK(mentions(bench.pass().remarks, "missing from the store"));
  CHECK(notebook.head(head->book, "bench-4")->head.links == more.head.links);
}

TEST_CASE("a store whose chain is another than its notebook knows says so, and keeps its end") {
  Bench bench;
  bench.pass();
  const auto head = Chain(bench.store()).head();
  FolderNotebook notebook(bench.settings(), book_mark(head->book));
  KeptHead other = notebook.head(head->book, "bench-4").value();
  other.head.last_sha256 = std::string(64, 'a');
  REQUIRE(notebook.keep_head(other));
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  const CarryCount count = bench.pass();
  CHECK(count.carried == 1);
  CHECK(mentions(count.remarks, "keeps another record"));
  CHECK(notebook.head(head->book, "bench-4")->head.last_sha256 == other.head.last_sha256);
}

TEST_CASE("a bench that got another name goes on from the newest end of its chain") {
  Bench bench;
  bench.pass();
  const auto head = Chain(bench.store()).head();
  FolderNotebook notebook(bench.settings(), book_mark(head->book));
  for (const auto& [name, links] : {std::pair{"a name", 3}, std::pair{"z name", 2}}) {
    REQUIRE(notebook.keep_head({name, {head->book, links, std::string(64, 'b')}}));
  }
  CHECK(notebook.head(head->book, "bench-4")->head.links == head->links);
}

TEST_CASE("bringing a revision twice changes nothing, in whatever order") {
  Bench bench;
  bench.pass();
  REQUIRE(change_status(bench.store(), "1", "struck", {"struck", "lid was off", "teacher", 5}));
  bench.pass();
  const fs::path folder = bench.folder_of(1);
  const auto text = TemporaryFolder::text_of((folder / "proof.json").string());
  FolderNotebook notebook(bench.settings(), "abcdef");
  for (const int revision : {2, 1}) {
    const auto entry = run_entry(bench.store(), bench.store().find_run("1")->id, revision,
                                 {Language::english, false});
    REQUIRE(entry);
    const auto arrival = notebook.bring(*entry);
    REQUIRE(arrival);
    CHECK(arrival->was_there);
  }
  CHECK(TemporaryFolder::text_of((folder / "proof.json").string()) == text);
}

TEST_CASE("what a pass that was cut off left behind is tidied up by the next") {
  Bench bench;
  const auto head = Chain(bench.store()).head();
  const std::string mark = book_mark(head->book);
  fs::create_directories(bench.notebook() / (".some run." + mark + "-0.new"));
  write(bench.notebook() / (".another's.123-0.new"), "not ours");
  bench.pass();
  int hidden = 0;
  for (const auto& entry : fs::directory_iterator(bench.notebook())) {
    if (entry.path().filename().string().starts_with('.')) ++hidden;
  }
  CHECK(hidden == 1);
}

TEST_CASE("pauses grow also where nothing is owed that counts them") {
  Bench bench;
  bench.pass();
  fs::rename(bench.notebook(), bench.path("away"));
  for (const int failed : {0, 3, 20}) {
    const CarryCount gone = bench.pass(failed);
    CHECK(gone.failure.find("moved") != std::string::npos);
    CHECK(gone.waiting == 0);
    REQUIRE(gone.next_try_us);
    const double wait_s = to_s(*gone.next_try_us - bench.now_us);
    CHECK(wait_s >= pause_s(failed + 1, 0.0));
    CHECK(wait_s <= pause_s(failed + 1, 1.0));
  }
}

TEST_CASE("pauses grow to an hour") {
  CHECK(pause_s(1, 0.5) == Approx(5.0));
  CHECK(pause_s(2, 0.5) == Approx(10.0));
  CHECK(pause_s(5, 0.0) == Approx(80.0 * 0.8));
  CHECK(pause_s(40, 1.0) == Approx(3600.0 * 1.2));
}
