#include "core/notebook/archive.hpp"

#include "tests/catch.hpp"
#include "tests/notebook/raw_zip.hpp"
#include "tests/notebook/sample_crate.hpp"
#include "tests/notebook/temporary_folder.hpp"

using namespace nestcup;

namespace {

std::string archive_refusal(const std::string& bytes, const ArchiveLimits& limits = {}) {
  const auto read = read_archive_bytes(bytes, "x.eln", limits);
  if (read) return "was read";
  CHECK(read.error().kind == Fault::bad_data);
  CHECK_THAT(read.error().text, StartsWith("x.eln: "));
  CHECK(read.error().text.find('\n') == std::string::npos);
  return read.error().text;
}

std::string archive_of(const std::vector<BundleFile>& files, std::optional<TimeUs> time_us = {}) {
  const auto bytes = archive_bytes(files, time_us, "x.eln");
  REQUIRE(bytes);
  return *bytes;
}

/// Two bytes of the first local header, little-endian.
unsigned two_bytes(const std::string& zip, std::size_t at) {
  return static_cast<unsigned char>(zip.at(at)) + 256U * static_cast<unsigned char>(zip.at(at + 1));
}

}  // namespace

TEST_CASE("An archive has the same bytes each time, and reads back as the same files") {
  const auto files = below_folder("day", *crate_files(sample_crate()));
  const std::string zip = archive_of(files, 1'795'593'600'000'000);
  CHECK(zip == archive_of(files, 1'795'593'600'000'000));
  CHECK(zip != archive_of(files, 1'795'593'700'000'000));

  const auto back = read_archive_bytes(zip, "x.eln");
  REQUIRE(back);
  REQUIRE(back->size() == files.size());
  for (std::size_t i = 0; i < files.size(); ++i) {
    CHECK((*back)[i].path == files[i].path);
    CHECK((*back)[i].bytes == files[i].bytes);
  }
}

TEST_CASE("Times in an archive are those of MS-DOS, in UTC (APPNOTE 6.3, section 4.4.6)") {
  const std::vector<BundleFile> files = {{"a", "1", {}, {}}};
  // No time: 1980-01-01, 0:00. Then 2026-11-25 08:00:00 and :03, and times beyond both ends.
  CHECK(two_bytes(archive_of(files), 12) == (0U << 9 | 1 << 5 | 1));
  CHECK(two_bytes(archive_of(files), 10) == 0);
  const TimeUs morning = 1'795'593'600'000'000;
  CHECK(two_bytes(archive_of(files, morning), 12) == (46U << 9 | 11 << 5 | 25));
  CHECK(two_bytes(archive_of(files, morning), 10) == 8U << 11);
  CHECK(two_bytes(archive_of(files, morning + 3'000'000), 10) == (8U << 11 | 1));
  CHECK(archive_of(files, -1) == archive_of(files));
  CHECK(two_bytes(archive_of(files, 253'402'300'799'000'000), 12) == (127U << 9 | 12 << 5 | 31));
}

TEST_CASE("The time zone of the machine does not show in an archive") {
  const char* before = ::getenv("TZ");
  const std::string kept = before != nullptr ? before : "";
  const std::vector<BundleFile> files = {{"a", "1", {}, {}}};
  ::setenv("TZ", "UTC+11", 1);
  ::tzset();
  const std::string west = archive_of(files, 1'795'593'600'000'000);
  ::setenv("TZ", "UTC-12", 1);
  ::tzset();
  CHECK(archive_of(files, 1'795'593'600'000'000) == west);
  before != nullptr ? ::setenv("TZ", kept.c_str(), 1) : ::unsetenv("TZ");
  ::tzset();
}

TEST_CASE("No archive is made of nothing, or of paths that lead out") {
  CHECK_FALSE(archive_bytes({}, {}, "x.zip"));
  const auto out = archive_bytes({{"../a", "1", {}, {}}}, {}, "x.zip");
  REQUIRE_FALSE(out);
  CHECK(out.error().text == "x.zip: \"../a\": \"..\" leads out of the folder");
}

TEST_CASE("Archives are written to files, and not over others") {
  const TemporaryFolder folder;
  const std::string path = folder.at("a.eln");
  REQUIRE(write_archive(path, {{"a/b", "1", {}, {}}}, {}));
  const auto again = write_archive(path, {{"a/b", "2", {}, {}}}, {});
  REQUIRE_FALSE(again);
  CHECK(again.error().kind == Fault::cannot_create);
  CHECK((*read_archive(path))[0].bytes == "1");
  REQUIRE(write_archive(path, {{"a/b", "2", {}, {}}}, {}, IfThere::replace));
  CHECK((*read_archive(path))[0].bytes == "2");
}

TEST_CASE("What is no archive file gets its own error") {
  const TemporaryFolder folder;
  const auto missing = read_archive(folder.at("missing.eln"));
  REQUIRE_FALSE(missing);
  CHECK(missing.error().kind == Fault::no_input);
  CHECK(read_archive(folder.at("")).error().kind == Fault::bad_data);
  TemporaryFolder::put(folder.at("large"), std::string(2000, 'x'));
  ArchiveLimits limits;
  limits.archive_bytes = 1999;
  CHECK_THAT(read_archive(folder.at("large"), limits).error().text,
             ContainsSubstring("larger than the 1999 bytes"));
  for (const std::string& bytes : {std::string(), std::string("PK"), std::string(5000, 'x'),
                                   std::string("PK\x03\x04") + std::string(200, '\0')}) {
    CHECK_THAT(archive_refusal(bytes), ContainsSubstring("is no zip archive"));
  }
}

TEST_CASE("Entries that lead out of the folder are refused by name") {
  CHECK_THAT(archive_refusal(raw_zip({{"a", "1"}, {"../../etc/cron.d/x", "1"}})),
             ContainsSubstring("\"../../etc/cron.d/x\": \"..\" leads out"));
  CHECK_THAT(archive_refusal(raw_zip({{"/etc/passwd", "1"}})), ContainsSubstring("absolute"));
  CHECK_THAT(archive_refusal(raw_zip({{"a\\..\\b", "1"}})), ContainsSubstring("backslash"));
  CHECK_THAT(archive_refusal(raw_zip({{"C:/a", "1"}})), ContainsSubstring("drive"));
  CHECK_THAT(archive_refusal(raw_zip({{"../", "", 040755}})), ContainsSubstring("leads out"));
  CHECK_THAT(archive_refusal(raw_zip({{"/", "", 040755}})), ContainsSubstring("absolute"));
  CHECK_THAT(archive_refusal(raw_zip({{"a\x1B[2J", "1"}})), ContainsSubstring("a\\x1b[2J"));
  CHECK_THAT(archive_refusal(raw_zip({{"a\xFF", "1"}})), ContainsSubstring("not UTF-8"));
}

TEST_CASE("Links, devices, doubles, files that are folders, and folders with bytes are refused") {
  CHECK_THAT(archive_refusal(raw_zip({{"l", "/etc/passwd", 0120777}})),
             ContainsSubstring("\"l\": is a link or a device"));
  CHECK_THAT(archive_refusal(raw_zip({{"p", "", 0010644}})), ContainsSubstring("link or a device"));
  CHECK_THAT(archive_refusal(raw_zip({{"c", "", 0020644}})), ContainsSubstring("link or a device"));
  CHECK_THAT(archive_refusal(raw_zip({{"a", "1"}, {"b", "1"}, {"a", "2"}})),
             ContainsSubstring("\"a\": is there twice"));
  CHECK_THAT(archive_refusal(raw_zip({{"a", "1"}, {"a/b", "1"}})),
             ContainsSubstring("a file and a folder at once"));
  CHECK_THAT(archive_refusal(raw_zip({{"a/", "1", 040755}})),
             ContainsSubstring("folder that holds bytes"));
}

TEST_CASE("Entries that are locked, packed otherwise, damaged or not as they say are refused") {
  RawEntry locked{"a", std::string(20, '1'), 0100644, 1};
  locked.claimed_size = 8;  // twelve bytes before it belong to the lock (APPNOTE, section 6.1)
  CHECK_THAT(archive_refusal(raw_zip({locked})), ContainsSubstring("\"a\": is encrypted"));
  CHECK_THAT(archive_refusal(raw_zip({{"a", "1", 0100644, 0, 14}})),
             ContainsSubstring("packed in a way"));
  RawEntry wrong_sum{"a", "1"};
  wrong_sum.checksum_error = 1;
  CHECK_THAT(archive_refusal(raw_zip({wrong_sum})), ContainsSubstring("\"a\": is damaged"));
  RawEntry wrong_size{"a", "12"};
  wrong_size.claimed_size = 3;
  CHECK(archive_refusal(raw_zip({wrong_size})) != "was read");
  // What one reader takes for a harmless name, and another for one that leads out.
  RawEntry two_names{"b", "1"};
  two_names.local_name = "../b";
  CHECK(archive_refusal(raw_zip({two_names})) != "was read");
}

TEST_CASE("What would fill the disk is refused before it is unpacked") {
  const std::string bomb = archive_of({{"zeros", std::string(8 << 20, '\0'), {}, {}}});
  CHECK(bomb.size() < 10'000);
  CHECK_THAT(archive_refusal(bomb), ContainsSubstring("\"zeros\": unpacks to 8388608 bytes from "));

  ArchiveLimits limits;
  limits.total_bytes = 25;
  const std::string three = raw_zip(
      {{"a", std::string(10, 'a')}, {"b", std::string(10, 'b')}, {"c", std::string(10, 'c')}});
  CHECK_THAT(archive_refusal(three, limits),
             ContainsSubstring("\"c\": with it the archive unpacks to"));
  limits = {};
  limits.entries = 2;
  CHECK_THAT(archive_refusal(three, limits), ContainsSubstring("holds 3 entries"));
  limits.entries = 3;
  CHECK(archive_refusal(three, limits) == "was read");
}

TEST_CASE("An archive that is cut short anywhere is refused") {
  const std::string zip = archive_of(below_folder("day", *crate_files(sample_crate())));
  for (std::size_t length = 0; length < zip.size(); length += 1 + length / 64) {
    CHECK(archive_refusal(zip.substr(0, length)) != "was read");
  }
  CHECK(archive_refusal(zip.substr(0, zip.size() - 1)) != "was read");
  CHECK(archive_refusal(zip) == "was read");
}

TEST_CASE("A byte that has turned over is noticed, or does not touch the files") {
  const auto files = below_folder("day", *crate_files(sample_crate()));
  const std::string zip = archive_of(files);
  int refused = 0;
  for (std::size_t at = 0; at < zip.size(); at += 7) {
    std::string damaged = zip;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x20);
    const auto read = read_archive_bytes(damaged, "x.eln");
    if (!read) {
      ++refused;
      continue;
    }
    // Names have no checksum; their bytes and times may be others, what the files hold may not.
    REQUIRE(read->size() == files.size());
    for (std::size_t i = 0; i < files.size(); ++i) CHECK((*read)[i].bytes == files[i].bytes);
  }
  CHECK(refused > 100);
}
