#include "core/notebook/archive.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <chrono>

#include "core/notebook/zip_handle.hpp"

namespace nestcup {
namespace {

constexpr zip_uint32_t deflate_level = 9;
constexpr zip_uint32_t plain_file = (S_IFREG | 0644U) << 16;

/// Date and time of MS-DOS, as zip keeps them (APPNOTE, section 4.4.6).
struct DosTime {
  zip_uint16_t date = 0;
  zip_uint16_t time = 0;
};

DosTime dos_time(std::optional<TimeUs> time_us) {
  namespace chrono = std::chrono;
  using chrono::seconds;
  constexpr chrono::sys_seconds first = chrono::sys_days{chrono::year{1980} / 1 / 1};
  constexpr chrono::sys_seconds last =
      chrono::sys_days{chrono::year{2107} / 12 / 31} + seconds{86398};
  const chrono::sys_seconds given{seconds{time_us.value_or(0) / 1'000'000}};
  const chrono::sys_seconds at = std::clamp(given, first, last);
  const auto day = chrono::floor<chrono::days>(at);
  const chrono::year_month_day date{day};
  const chrono::hh_mm_ss<seconds> time{at - day};
  const int year = static_cast<int>(date.year()) - 1980;
  const auto month = static_cast<unsigned>(date.month());
  const auto day_of_month = static_cast<unsigned>(date.day());
  return {static_cast<zip_uint16_t>(static_cast<unsigned>(year) << 9 | month << 5 | day_of_month),
          static_cast<zip_uint16_t>(time.hours().count() << 11 | time.minutes().count() << 5 |
                                    time.seconds().count() / 2)};
}

Error library_error(const std::string& name, const std::string& reason) {
  return {Fault::io, fmt::format("{}: the archive cannot be made: {}", name, reason)};
}

/// The bit for UTF-8 (APPNOTE, section 4.4.4) where a name needs it alone: libzip 1.11 sets it for
/// every name that is said to be UTF-8, 1.7 does not, and an archive has the same bytes everywhere.
zip_flags_t name_encoding(const std::string& name) {
  const bool is_ascii = std::all_of(name.begin(), name.end(), [](char letter) {
    return static_cast<unsigned char>(letter) < 0x80U;
  });
  return is_ascii ? ZIP_FL_ENC_GUESS : ZIP_FL_ENC_UTF_8;
}

bool add_entry(zip_t* zip, const BundleFile& file, const DosTime& when) {
  ZipSource source(zip_source_buffer(zip, file.bytes.data(), file.bytes.size(), 0));
  if (!source) return false;
  const zip_int64_t index =
      zip_file_add(zip, file.path.c_str(), source.get(), name_encoding(file.path));
  if (index < 0) return false;
  source.release();  // the archive frees it now
  const auto at = static_cast<zip_uint64_t>(index);
  return zip_set_file_compression(zip, at, ZIP_CM_DEFLATE, deflate_level) == 0 &&
         zip_file_set_dostime(zip, at, when.time, when.date, 0) == 0 &&
         zip_file_set_external_attributes(zip, at, 0, ZIP_OPSYS_UNIX, plain_file) == 0;
}

Result<std::string> source_bytes(zip_source_t* source, const std::string& name) {
  zip_stat_t size;
  zip_stat_init(&size);
  if (zip_source_stat(source, &size) != 0 || zip_source_open(source) != 0) {
    return library_error(name, "nothing to read back");
  }
  std::string bytes(size.size, '\0');
  const zip_int64_t count = zip_source_read(source, bytes.data(), bytes.size());
  zip_source_close(source);
  if (count < 0 || static_cast<zip_uint64_t>(count) != bytes.size()) {
    return library_error(name, "it cannot be read back");
  }
  return bytes;
}

}  // namespace

Result<std::string> archive_bytes(const std::vector<BundleFile>& files,
                                  std::optional<TimeUs> time_us, const std::string& name) {
  if (auto good = check_bundle(files); !good) {
    return Error{good.error().kind, name + ": " + good.error().text};
  }
  if (files.empty()) return Error{Fault::bad_data, name + ": there is nothing to put into it"};
  ZipReason reason;
  const ZipSource whole(zip_source_buffer_create(nullptr, 0, 0, reason.get()));
  if (!whole) return library_error(name, reason.text());
  zip_source_keep(whole.get());
  ZipHandle zip(zip_open_from_source(whole.get(), ZIP_CREATE | ZIP_TRUNCATE, reason.get()));
  if (!zip) {
    zip_source_free(whole.get());
    return library_error(name, reason.text());
  }
  const DosTime when = dos_time(time_us);
  for (const BundleFile& file : files) {
    if (!add_entry(zip.get(), file, when)) return library_error(name, zip_strerror(zip.get()));
  }
  if (zip_close(zip.get()) != 0) return library_error(name, zip_strerror(zip.get()));
  static_cast<void>(zip.release());  // closing has freed it
  return source_bytes(whole.get(), name);
}

Result<void> write_archive(const std::string& path, const std::vector<BundleFile>& files,
                           std::optional<TimeUs> time_us, IfThere if_there) {
  const Result<std::string> bytes = archive_bytes(files, time_us, path);
  if (!bytes) return bytes.error();
  return write_whole(path, *bytes, if_there);
}

}  // namespace nestcup
