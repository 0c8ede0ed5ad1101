// Where packs are put, and what they never replace.
#include "core/notebook/pack_place.hpp"

#include "core/base/digest.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/sample_crate.hpp"
#include "tests/notebook/temporary_folder.hpp"

using namespace nestcup;

namespace {

using Kind = PackPlace::Kind;

std::vector<BundleFile> files_of(const CrateFacts& facts) {
  auto files = crate_files(facts);
  REQUIRE(files);
  return std::move(*files);
}

/// The sample crate, and the same with other words.
std::vector<BundleFile> first_crate() {
  return files_of(sample_crate());
}
std::vector<BundleFile> next_crate() {
  CrateFacts facts = sample_crate();
  facts.name = "The next one";
  facts.runs.pop_back();
  return files_of(facts);
}

Result<std::string> put(const PackPlace& place, const std::vector<BundleFile>& files,
                        IfThere if_there = IfThere::replace) {
  return put_pack(place, files, 1'795'593'600'000'000, if_there);
}

std::vector<PackPlace> places(const TemporaryFolder& folder) {
  return {{Kind::folder, folder.at("crate")},
          {Kind::zip, folder.at("day.zip")},
          {Kind::eln, folder.at("day.eln")}};
}

/// What stands in the place is a crate of this name.
void check_name(const PackPlace& place, const std::string& name) {
  std::string metadata;
  if (place.kind == Kind::folder) {
    metadata = TemporaryFolder::text_of(place.path + "/" + crate_metadata_name);
  } else {
    const auto files = read_archive(place.path);
    REQUIRE(files);
    metadata = files->front().bytes;
    const std::string lead = place.kind == Kind::eln ? "day/" : "";
    CHECK(files->front().path == lead + crate_metadata_name);
  }
  CHECK_THAT(metadata, ContainsSubstring("\"name\": \"" + name + "\""));
}

}  // namespace

TEST_CASE("the ending says what is made") {
  CHECK(pack_place("day.zip")->kind == Kind::zip);
  CHECK(pack_place("x/day.eln")->kind == Kind::eln);
  CHECK(pack_place("day")->kind == Kind::folder);
  CHECK(pack_place("2026.11.25/")->kind == Kind::folder);
  CHECK(pack_place("2026.11.25/")->path == "2026.11.25");
  for (const char* wrong : {"day.tar", "2026.11.25", "day.ZIP", "", "..", "x/.", "/", "a\\b.eln"}) {
    const auto place = pack_place(wrong);
    INFO(wrong);
    REQUIRE_FALSE(place);
    CHECK(place.error().kind == Fault::usage);
  }
}

TEST_CASE("a place that is taken stays, and a crate of ours is replaced when asked") {
  const TemporaryFolder folder;
  for (const PackPlace& place : places(folder)) {
    INFO(place.path);
    const auto first = put(place, first_crate(), IfThere::refuse);
    REQUIRE(first);
    if (place.kind != Kind::folder) {
      CHECK(*first == sha256_hex(TemporaryFolder::text_of(place.path)));
    }
    const auto refused = put(place, next_crate(), IfThere::refuse);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::cannot_create);
    check_name(place, "Formation enthalpy of magnesium oxide");
    REQUIRE(put(place, next_crate()));
    check_name(place, "The next one");
  }
  CHECK_FALSE(std::filesystem::exists(folder.at("crate/run-01a211b8-0000")));
  CHECK(folder.names().size() == 3);  // nothing is left over
}

TEST_CASE("a folder that anyone has changed is never replaced") {
  const TemporaryFolder folder;
  const PackPlace place{Kind::folder, folder.at("crate")};
  const std::string sheet = place.path + "/sheet.toml";
  REQUIRE(put(place, first_crate()));
  const std::string sheet_text = TemporaryFolder::text_of(sheet);
  const auto check_kept = [&](const std::string& words) {
    const auto refused = put(place, next_crate());
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::cannot_create);
    CHECK_THAT(refused.error().text, ContainsSubstring(words));
    check_name(place, "Formation enthalpy of magnesium oxide");
    CHECK(folder.names().size() == 1);
  };
  TemporaryFolder::put(place.path + "/my notes.txt", "mine");
  check_kept("my notes.txt");
  std::filesystem::remove(place.path + "/my notes.txt");
  TemporaryFolder::put(sheet, "mine");
  check_kept("sheet.toml");
  TemporaryFolder::put(sheet, sheet_text);
  std::filesystem::create_symlink("/etc/hostname", place.path + "/link");
  check_kept("no crate");
  std::filesystem::remove(place.path + "/link");
  REQUIRE(put(place, next_crate()));
}

TEST_CASE("what is no crate of this program's is never replaced") {
  const TemporaryFolder folder;
  std::filesystem::create_directory(folder.at("crate"));
  TemporaryFolder::put(folder.at("crate/thesis.txt"), "years of work");
  TemporaryFolder::put(folder.at("day.zip"), "no archive");
  const std::vector<BundleFile> foreign = {
      {"day/ro-crate-metadata.json", R"({"@graph":[{"@id":"./","@type":"Dataset"}]})", "", ""}};
  REQUIRE(write_archive(folder.at("day.eln"), foreign, std::nullopt));
  const std::string eln = TemporaryFolder::text_of(folder.at("day.eln"));
  for (const PackPlace& place : places(folder)) {
    INFO(place.path);
    const auto refused = put(place, next_crate());
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::cannot_create);
  }
  CHECK(TemporaryFolder::text_of(folder.at("crate/thesis.txt")) == "years of work");
  CHECK(TemporaryFolder::text_of(folder.at("day.zip")) == "no archive");
  CHECK(TemporaryFolder::text_of(folder.at("day.eln")) == eln);
  CHECK_FALSE(put({Kind::zip, folder.at("crate")}, next_crate()));
  CHECK_FALSE(put({Kind::folder, folder.at("day.zip")}, next_crate()));
  CHECK_FALSE(put({Kind::folder, folder.at("nowhere/crate")}, next_crate()));
}
