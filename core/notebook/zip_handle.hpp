// What libzip holds, freed where it goes out of scope.
#pragma once

#include <zip.h>

#include <memory>
#include <string>

namespace nestcup {

struct ZipDiscard {
  void operator()(zip_t* zip) const { zip_discard(zip); }
};
using ZipHandle = std::unique_ptr<zip_t, ZipDiscard>;

struct ZipSourceFree {
  void operator()(zip_source_t* source) const { zip_source_free(source); }
};
using ZipSource = std::unique_ptr<zip_source_t, ZipSourceFree>;

struct ZipFileClose {
  void operator()(zip_file_t* file) const { zip_fclose(file); }
};
using ZipFile = std::unique_ptr<zip_file_t, ZipFileClose>;

/// libzip's reason, freed as well.
class ZipReason {
 public:
  ZipReason() { zip_error_init(&error_); }
  ~ZipReason() { zip_error_fini(&error_); }
  ZipReason(const ZipReason&) = delete;
  ZipReason& operator=(const ZipReason&) = delete;

  [[nodiscard]] zip_error_t* get() { return &error_; }
  [[nodiscard]] std::string text() { return zip_error_strerror(&error_); }

 private:
  zip_error_t error_{};
};

}  // namespace nestcup
