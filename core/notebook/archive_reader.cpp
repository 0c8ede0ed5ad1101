#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <set>
#include <system_error>

#include "core/notebook/archive.hpp"
#include "core/notebook/zip_handle.hpp"

namespace nestcup {
namespace {

// Where an entry is as small as this, its ratio harms nobody.
constexpr std::uint64_t ratio_from_bytes = 1ULL << 20;

/// One archive from elsewhere, entry by entry.
class ArchiveReader {
 public:
  ArchiveReader(zip_t* zip, const std::string& name, const ArchiveLimits& limits)
      : zip_(zip), name_(name), limits_(limits) {}

  Result<std::vector<BundleFile>> read() {
    const zip_int64_t count = zip_get_num_entries(zip_, 0);
    if (count < 0 || static_cast<std::uint64_t>(count) > limits_.entries) {
      return fault(
          fmt::format("holds {} entries, more than the {} that are taken", count, limits_.entries));
    }
    // All is looked at before anything is unpacked.
    std::vector<zip_stat_t> entries;
    std::vector<BundleFile> files;
    for (zip_uint64_t i = 0; i < static_cast<zip_uint64_t>(count); ++i) {
      zip_stat_t entry;
      zip_stat_init(&entry);
      if (zip_stat_index(zip_, i, ZIP_FL_ENC_RAW, &entry) != 0) {
        return fault(fmt::format("entry {} cannot be read: {}", i + 1, zip_strerror(zip_)));
      }
      const auto is_file = look_at(entry);
      if (!is_file) return is_file.error();
      if (!*is_file) continue;
      entries.push_back(entry);
      files.push_back({entry.name, {}, {}, {}});
    }
    if (auto good = check_bundle(files); !good) return fault(good.error().text);
    for (std::size_t i = 0; i < files.size(); ++i) {
      Result<std::string> bytes = unpack(entries[i]);
      if (!bytes) return bytes.error();
      files[i].bytes = *std::move(bytes);
    }
    return files;
  }

 private:
  [[nodiscard]] Error fault(const std::string& what) const {
    return {Fault::bad_data, fmt::format("{}: {}", name_, what)};
  }

  /// Whether an entry is a file (and no folder), or why it is not taken.
  Result<bool> look_at(const zip_stat_t& entry) {
    constexpr zip_uint64_t needed = ZIP_STAT_NAME | ZIP_STAT_SIZE | ZIP_STAT_COMP_SIZE |
                                    ZIP_STAT_COMP_METHOD | ZIP_STAT_ENCRYPTION_METHOD;
    if ((entry.valid & needed) != needed) return fault("an entry does not say what it is");
    std::string_view path = entry.name;
    const bool folder = path.size() > 1 && path.back() == '/';
    if (folder) path.remove_suffix(1);
    if (auto good = check_bundle_path(path); !good) return fault(good.error().text);
    const auto refuse = [&](std::string_view what) {
      return fault(fmt::format("\"{}\": {}", path, what));
    };
    if (is_link_or_device(entry.index)) {
      return refuse("is a link or a device; only files and folders are taken");
    }
    if (entry.encryption_method != ZIP_EM_NONE) return refuse("is encrypted; unlock it first");
    if (entry.comp_method != ZIP_CM_STORE && entry.comp_method != ZIP_CM_DEFLATE) {
      return refuse("is packed in a way that is not read here; deflate is expected");
    }
    if (folder) {
      if (entry.size > 0) return refuse("is a folder that holds bytes");
      return false;
    }
    if (entry.size > limits_.total_bytes - total_bytes_) {
      return refuse(
          fmt::format("with it the archive unpacks to more than {} bytes", limits_.total_bytes));
    }
    total_bytes_ += entry.size;
    if (entry.size > ratio_from_bytes && entry.size / limits_.ratio > entry.comp_size) {
      return refuse(fmt::format("unpacks to {} bytes from {}, which no readings do", entry.size,
                                entry.comp_size));
    }
    return true;
  }

  [[nodiscard]] bool is_link_or_device(zip_uint64_t index) const {
    zip_uint8_t system = 0;
    zip_uint32_t attributes = 0;
    if (zip_file_get_external_attributes(zip_, index, 0, &system, &attributes) != 0) return true;
    const zip_uint32_t kind = attributes >> 16 & S_IFMT;
    const bool unix_like = system == ZIP_OPSYS_UNIX || system == ZIP_OPSYS_OS_X;
    return unix_like && kind != 0 && kind != S_IFREG && kind != S_IFDIR;
  }

  /// The bytes of an entry, as many as it said and with the checksum it said.
  Result<std::string> unpack(const zip_stat_t& entry) const {
    const auto refuse = [&](std::string_view what) {
      return fault(fmt::format("\"{}\": {}", entry.name, what));
    };
    const ZipFile file(zip_fopen_index(zip_, entry.index, 0));
    if (!file) return refuse(fmt::format("cannot be unpacked: {}", zip_strerror(zip_)));
    std::string bytes;
    std::string block(std::min<zip_uint64_t>(entry.size + 1, 1 << 16), '\0');
    while (bytes.size() <= entry.size) {
      const zip_int64_t count = zip_fread(file.get(), block.data(), block.size());
      if (count < 0) {
        return refuse(fmt::format("is damaged: {}", zip_file_strerror(file.get())));
      }
      if (count == 0) break;  // only here the checksum has been looked at
      bytes.append(block, 0, static_cast<std::size_t>(count));
    }
    if (bytes.size() != entry.size) {
      return refuse(fmt::format("is damaged: it should unpack to {} bytes", entry.size));
    }
    return bytes;
  }

  zip_t* zip_;
  const std::string& name_;
  const ArchiveLimits& limits_;
  std::uint64_t total_bytes_ = 0;
};

/// The name that two entries share, looked for in the headers of the central directory (APPNOTE,
/// section 4.3.12), for libzip refuses such an archive without saying it.
std::string name_of_two(std::string_view bytes) {
  constexpr std::string_view signature = "PK\x01\x02";
  constexpr std::size_t length_at = 28;
  constexpr std::size_t name_at = 46;
  std::set<std::string_view> names;
  for (std::size_t at = bytes.find(signature); at != std::string_view::npos;
       at = bytes.find(signature, at + 1)) {
    if (at + name_at > bytes.size()) break;
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(bytes[at + i]); };
    const std::size_t length = byte(length_at) + 256U * byte(length_at + 1);
    const std::string_view name = bytes.substr(at + name_at, length);
    if (!names.insert(name).second) return std::string(name);
  }
  return {};
}

Error not_opened(std::string_view bytes, const std::string& name, ZipReason& reason) {
  const auto fault = [&](const std::string& what) {
    return Error{Fault::bad_data, fmt::format("{}: {}", name, what)};
  };
  if (zip_error_code_zip(reason.get()) == ZIP_ER_EXISTS) {
    const std::string twice = name_of_two(bytes);
    if (auto good = check_bundle_path(twice); !good) return fault(good.error().text);
    return fault(fmt::format("\"{}\": is there twice", twice));
  }
  return fault("is no zip archive, or is damaged or cut short: " + reason.text());
}

/// The whole file; one that is no plain file (a pipe, a device) is not waited for.
Result<std::string> bytes_of_file(const std::string& path, std::uint64_t limit_bytes) {
  const auto failed = [&](int number) {
    const Fault kind = number == ENOENT || number == ENOTDIR ? Fault::no_input
                       : number == EACCES                    ? Fault::not_permitted
                                                             : Fault::io;
    return Error{
        kind, fmt::format("{}: cannot be read: {}", path, std::generic_category().message(number))};
  };
  const int number = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (number < 0) return failed(errno);
  const std::unique_ptr<const int, void (*)(const int*)> closes(&number,
                                                                [](const int* n) { ::close(*n); });
  struct stat facts {};
  if (::fstat(number, &facts) != 0) return failed(errno);
  if (!S_ISREG(facts.st_mode)) {
    return Error{Fault::bad_data, path + ": is not a file; an archive is expected"};
  }
  if (static_cast<std::uint64_t>(facts.st_size) > limit_bytes) {
    return Error{Fault::bad_data,
                 fmt::format("{}: is larger than the {} bytes that are taken", path, limit_bytes)};
  }
  std::string bytes(static_cast<std::size_t>(facts.st_size), '\0');
  for (std::size_t at = 0; at < bytes.size();) {
    const ssize_t count = ::read(number, bytes.data() + at, bytes.size() - at);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return failed(errno);
    if (count == 0) return Error{Fault::io, path + ": became shorter while it was read"};
    at += static_cast<std::size_t>(count);
  }
  return bytes;
}

}  // namespace

Result<std::vector<BundleFile>> read_archive_bytes(std::string_view bytes, const std::string& name,
                                                   const ArchiveLimits& limits) {
  // libzip would take it for an archive that is to become one.
  if (bytes.empty()) return Error{Fault::bad_data, name + ": is no zip archive: it is empty"};
  ZipReason reason;
  ZipSource source(zip_source_buffer_create(bytes.data(), bytes.size(), 0, reason.get()));
  if (!source) return Error{Fault::io, fmt::format("{}: {}", name, reason.text())};
  const ZipHandle zip(zip_open_from_source(source.get(), ZIP_RDONLY | ZIP_CHECKCONS, reason.get()));
  if (!zip) return not_opened(bytes, name, reason);
  static_cast<void>(source.release());  // the archive frees it now
  return ArchiveReader(zip.get(), name, limits).read();
}

Result<std::vector<BundleFile>> read_archive(const std::string& path, const ArchiveLimits& limits) {
  const Result<std::string> bytes = bytes_of_file(path, limits.archive_bytes);
  if (!bytes) return bytes.error();
  return read_archive_bytes(*bytes, path, limits);
}

}  // namespace nestcup
