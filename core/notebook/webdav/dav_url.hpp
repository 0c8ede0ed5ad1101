// Addresses of a WebDAV notebook: paths as people write them, encoded for the line, and back.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup {

/// The notebook's collection on its server.
class DavUrl {
 public:
  /// @param url  as the bench file has it, with or without "/" at the end
  explicit DavUrl(std::string url);

  /// The address of what lies at `path` below the collection ("run/run.json"), encoded (RFC 3986);
  /// "" is the collection itself. Collections end with "/", which some servers insist on.
  [[nodiscard]] std::string at(std::string_view path) const;
  /// As the bench file has it, for messages.
  [[nodiscard]] const std::string& text() const { return text_; }
  /// The same for a person: the address and the path as it is.
  [[nodiscard]] std::string shown(std::string_view path) const;

 private:
  std::string text_;
  std::string base_;
};

/// The address of the collection above; nothing for a server's root.
[[nodiscard]] std::optional<std::string> collection_above(std::string_view url);
/// A path with all but unreserved characters and "/" encoded.
[[nodiscard]] std::string url_encoded(std::string_view path);
[[nodiscard]] std::string url_decoded(std::string_view text);

}  // namespace nestcup
