#include "core/notebook/new_place.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <thread>

#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"

using namespace nestcup;
namespace fs = std::filesystem;

TEST_CASE("A file appears whole, and never in the place of another") {
  const TemporaryFolder folder;
  const std::string path = folder.at("a.eln");
  REQUIRE(write_whole(path, "first"));
  CHECK(TemporaryFolder::text_of(path) == "first");

  const Result<void> again = write_whole(path, "second");
  REQUIRE_FALSE(again);
  CHECK(again.error().kind == Fault::cannot_create);
  CHECK(again.error().text == path + ": is there already; name another place");
  CHECK(TemporaryFolder::text_of(path) == "first");

  REQUIRE(write_whole(path, "third", IfThere::replace));
  CHECK(TemporaryFolder::text_of(path) == "third");
  CHECK(folder.names() == std::vector<std::string>{"a.eln"});
}

TEST_CASE("A link that leads nowhere is something that is there") {
  const TemporaryFolder folder;
  fs::create_symlink(folder.at("elsewhere"), folder.at("link"));
  CHECK_FALSE(write_whole(folder.at("link"), "x"));
  CHECK_FALSE(fs::exists(folder.at("elsewhere")));
  CHECK_FALSE(write_folder(folder.at("link"), {{"a", "1", {}, {}}}));
}

TEST_CASE("What cannot be written says so, with the name that was wanted") {
  const TemporaryFolder folder;
  const Result<void> nowhere = write_whole(folder.at("no/such.eln"), "x");
  REQUIRE_FALSE(nowhere);
  CHECK(nowhere.error().kind == Fault::cannot_create);
  CHECK_THAT(nowhere.error().text, StartsWith(folder.at("no/such.eln") + ": cannot be made: "));

  fs::create_directory(folder.at("d"));
  CHECK_FALSE(write_whole(folder.at("d"), "x", IfThere::replace));
  CHECK(fs::is_directory(folder.at("d")));
  CHECK(folder.names() == std::vector<std::string>{"d"});
}

TEST_CASE("Of many that write one name at once, one wins and its file is whole") {
  const TemporaryFolder folder;
  const std::string path = folder.at("x");
  std::vector<std::string> texts;
  for (char c = 'a'; c < 'i'; ++c) texts.emplace_back(200'000, c);
  std::vector<int> won(texts.size(), 0);
  std::vector<std::thread> threads;
  for (std::size_t i = 0; i < texts.size(); ++i) {
    threads.emplace_back([&, i] { won[i] = write_whole(path, texts[i]).ok() ? 1 : 0; });
  }
  for (std::thread& thread : threads) thread.join();
  CHECK(std::count(won.begin(), won.end(), 1) == 1);
  const auto winner = std::find(won.begin(), won.end(), 1) - won.begin();
  CHECK(TemporaryFolder::text_of(path) == texts[static_cast<std::size_t>(winner)]);
  CHECK(folder.names() == std::vector<std::string>{"x"});
}

TEST_CASE("A folder appears with everything in it, and never in the place of another") {
  const TemporaryFolder folder;
  const std::vector<BundleFile> files = {
      {"a.txt", "1", {}, {}}, {"b/c/d.txt", "22", {}, {}}, {"b/e.txt", "", {}, {}}};
  REQUIRE(write_folder(folder.at("crate") + "/", files));
  CHECK(TemporaryFolder::text_of(folder.at("crate/a.txt")) == "1");
  CHECK(TemporaryFolder::text_of(folder.at("crate/b/c/d.txt")) == "22");
  CHECK(fs::is_regular_file(folder.at("crate/b/e.txt")));

  const Result<void> again = write_folder(folder.at("crate"), {{"a.txt", "other", {}, {}}});
  REQUIRE_FALSE(again);
  CHECK(again.error().kind == Fault::cannot_create);
  CHECK(TemporaryFolder::text_of(folder.at("crate/a.txt")) == "1");

  fs::create_directory(folder.at("empty"));
  CHECK_FALSE(write_folder(folder.at("empty"), files));
  CHECK(fs::is_empty(folder.at("empty")));

  const Result<void> out = write_folder(folder.at("new"), {{"../x", "1", {}, {}}});
  REQUIRE_FALSE(out);
  CHECK(out.error().kind == Fault::bad_data);
  CHECK_FALSE(fs::exists(folder.at("x")));
  CHECK_FALSE(fs::exists(folder.at("new")));
  CHECK(folder.names().size() == 2);
}

TEST_CASE("Rights of what is new are those of the person's umask") {
  const TemporaryFolder folder;
  const mode_t before = ::umask(027);
  const bool file = write_whole(folder.at("f"), "x").ok();
  const bool whole = write_folder(folder.at("d"), {{"f", "x", {}, {}}}).ok();
  ::umask(before);
  REQUIRE(file);
  REQUIRE(whole);
  struct stat facts {};
  REQUIRE(::stat(folder.at("f").c_str(), &facts) == 0);
  CHECK((facts.st_mode & 0777) == 0640);
  REQUIRE(::stat(folder.at("d").c_str(), &facts) == 0);
  CHECK((facts.st_mode & 0777) == 0750);
}
