// The steps that a WebDAV notebook is made of (RFC 4918). What servers make differently is known
// here: some overwrite in spite of If-None-Match, keep what was uploaded by half, or insist on "/"
// behind the name of a collection; MOVE with "Overwrite: F" is what all of them do alike.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/webdav/dav_url.hpp"
#include "core/notebook/webdav/http_client.hpp"

namespace nestcup {

struct DavEntry {
  std::string name;  ///< without what is above it
  bool is_collection = false;
  std::optional<std::uint64_t> bytes{};
};

/// What PROPFIND answers ("multistatus"), without the collection that was asked for.
/// @param where  for messages
/// @errors bad_configuration: no such answer
[[nodiscard]] Result<std::vector<DavEntry>> parse_listing(const std::string& xml,
                                                          const std::string& where);

enum class DavKind { file, collection };
enum class Moved {
  done,
  taken,  ///< something is there; all is as it was
  gone,   ///< there is nothing to be moved
};

/// Paths are below the notebook's collection and not encoded; "" is the collection itself.
/// Errors of all: as HttpClient::ask and dav_refusal.
class DavServer {
 public:
  DavServer(DavUrl url, HttpClient client);

  [[nodiscard]] const DavUrl& url() const { return url_; }
  /// How long the last answer wants it to be left alone, s.
  [[nodiscard]] double wanted_pause_s() const;
  /// A file's bytes; nothing where it is not there.
  [[nodiscard]] Result<std::optional<std::string>> get(const std::string& path);
  /// What lies in a collection; nothing where it is not there.
  [[nodiscard]] Result<std::optional<std::vector<DavEntry>>> list(const std::string& path);
  /// Whether there is a collection.
  [[nodiscard]] Result<bool> has_collection(const std::string& path);
  /// Makes a collection; one that is there stays as it is.
  [[nodiscard]] Result<void> make_collection(const std::string& path);
  /// The notebook's own collection, and those above it as far as they are missing.
  [[nodiscard]] Result<void> make_root();
  /// Puts bytes where nobody else looks, and makes sure that they are there as they were sent.
  /// @errors also io: what arrived is something else
  [[nodiscard]] Result<void> put(const std::string& path, const std::string& bytes);
  /// libcurl asks once more where a kept connection dies before the answer: taken and gone may then
  /// be the answer to a move that was made already.
  [[nodiscard]] Result<Moved> move(const std::string& from, const std::string& to, DavKind kind);
  /// The same, in the place of whatever is there. @return done or gone
  [[nodiscard]] Result<Moved> move_over(const std::string& from, const std::string& to);
  /// Removes; what is not there is removed already.
  [[nodiscard]] Result<void> remove(const std::string& path, DavKind kind);

 private:
  [[nodiscard]] Result<HttpAnswer> find(const std::string& path, DavKind kind, int depth);
  [[nodiscard]] Result<HttpAnswer> ask_move(const std::string& from, const std::string& to,
                                            DavKind kind, char overwrite);
  [[nodiscard]] Result<void> check_arrived(const std::string& path, const std::string& bytes);
  [[nodiscard]] Result<int> make_at(const std::string& url);

  DavUrl url_;
  HttpClient client_;
};

}  // namespace nestcup
