// A file replaced as a whole, with what belongs to it.
#include "core/base/replaced_file.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

namespace fs = std::filesystem;

/// A folder that goes with the object.
class Place {
 public:
  Place() {
    std::string name = (fs::temp_directory_path() / "nestcup-file-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = name;
  }
  Place(const Place&) = delete;
  Place& operator=(const Place&) = delete;
  ~Place() { fs::remove_all(path_); }

  [[nodiscard]] std::string at(const std::string& name) const { return path_ / name; }
  /// How many names are there.
  [[nodiscard]] long names() const {
    return std::distance(fs::directory_iterator(path_), fs::directory_iterator());
  }

 private:
  fs::path path_;
};

std::string content(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write(const std::string& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

struct stat facts(const std::string& path) {
  struct stat found {};
  REQUIRE(stat(path.c_str(), &found) == 0);
  return found;
}

}  // namespace

TEST_CASE("a file gets its new content, keeps its mode and leaves nothing beside it") {
  const Place place;
  const std::string path = place.at("day.toml");
  for (const unsigned mode : {0640U, 0400U, 0666U}) {
    write(path, "old");
    REQUIRE(chmod(path.c_str(), mode) == 0);
    const std::string text(100'000, 'x');
    REQUIRE(replace_file(path, text));
    CHECK(content(path) == text);
    CHECK((facts(path).st_mode & 07777U) == mode);
    CHECK(place.names() == 1);
    fs::remove(path);
  }
}

TEST_CASE("a file of somebody else stays theirs where that is permitted") {
  if (geteuid() != 0) return;
  const Place place;
  const std::string path = place.at("day.toml");
  write(path, "old");
  REQUIRE(chown(path.c_str(), 1234, 4321) == 0);
  REQUIRE(replace_file(path, "new"));
  CHECK(facts(path).st_uid == 1234);
  CHECK(facts(path).st_gid == 4321);
}

TEST_CASE("behind a symbolic link the file is replaced and the link stays") {
  const Place place;
  write(place.at("real.toml"), "old");
  fs::create_symlink("real.toml", place.at("link.toml"));
  REQUIRE(replace_file(place.at("link.toml"), "new"));
  CHECK(fs::is_symlink(place.at("link.toml")));
  CHECK(content(place.at("real.toml")) == "new");
}

TEST_CASE("what a crash left beside a file is in nobody's way, not even as a link") {
  const Place place;
  write(place.at("day.toml"), "old");
  write(place.at("other"), "untouched");
  fs::create_symlink("other", place.at(".day.toml.new"));
  REQUIRE(replace_file(place.at("day.toml"), "new"));
  CHECK(content(place.at("day.toml")) == "new");
  CHECK(content(place.at("other")) == "untouched");
  CHECK_FALSE(fs::is_symlink(place.at("day.toml")));
}

TEST_CASE("where a file cannot be replaced, it stays as it is and the reason is told") {
  const Place place;
  const auto missing = replace_file(place.at("day.toml"), "new");
  REQUIRE_FALSE(missing);
  CHECK(missing.error().kind == Fault::no_input);
  CHECK(place.names() == 0);
  write(place.at("day.toml"), "old");
  fs::create_directory(place.at(".day.toml.new"));
  const auto blocked = replace_file(place.at("day.toml"), "new");
  REQUIRE_FALSE(blocked);
  CHECK_THAT(blocked.error().text, StartsWith(place.at("day.toml") + ": cannot be replaced"));
  CHECK(content(place.at("day.toml")) == "old");
}
