// HTTP requests one after the other over a connection that is kept (libcurl). Certificates are
// checked, redirects are not followed, and a dying or dead-slow connection ends by itself.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

struct HttpRequest {
  std::string method;                  ///< "PUT"
  std::string url;                     ///< encoded
  std::vector<std::string> headers{};  ///< "Overwrite: F"
  std::optional<std::string> body{};   ///< sent with its length
};

struct HttpAnswer {
  int status = 0;
  std::string body;
  std::string location;                ///< of a redirect; else empty
  std::optional<int> retry_after_s{};  ///< where the server asks for it in seconds
};

struct HttpLogin {
  std::string user;  ///< empty: nobody logs in
  std::string password;
  bool digest = false;
  std::string ca_file;  ///< empty: the system's certificates
};

class HttpClient {
 public:
  /// @param go_on  asked again and again while a request is under way; false ends it
  HttpClient(HttpLogin login, std::function<bool()> go_on);
  HttpClient(HttpClient&&) noexcept;
  HttpClient& operator=(HttpClient&&) noexcept;
  ~HttpClient();

  /// Any status is an answer.
  /// @errors unavailable: no server, no connection, or one that died (what became of the request is
  ///         not known then); bad_configuration: a certificate that is not good, or a server that
  ///         speaks something else; try_later: `go_on` ended it. The text names the address.
  [[nodiscard]] Result<HttpAnswer> ask(const HttpRequest& request);
  /// What the last answer was, without its body; status 0 where there was none.
  [[nodiscard]] const HttpAnswer& last() const;

 private:
  struct Inner;
  std::unique_ptr<Inner> inner_;
};

}  // namespace nestcup
