#include "core/notebook/webdav/http_client.hpp"

#include <curl/curl.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstring>

#include "core/sheet/address.hpp"

namespace nestcup {
namespace {

constexpr long connect_s = 10;
constexpr long slow_bytes_per_s = 100;
constexpr long slow_s = 60;
// A notebook's index, a record or a listing is far smaller.
constexpr std::size_t longest_answer = 64UL << 20;
constexpr int longest_retry_s = 86'400;

/// What a request under way reads from and writes to.
struct Transfer {
  const std::string* body = nullptr;
  std::size_t sent = 0;
  HttpAnswer answer;
  const std::function<bool()>* go_on = nullptr;
};

std::size_t send_some(char* into, std::size_t size, std::size_t count, void* to) {
  auto& transfer = *static_cast<Transfer*>(to);
  const std::size_t some = std::min(size * count, transfer.body->size() - transfer.sent);
  std::memcpy(into, transfer.body->data() + transfer.sent, some);
  transfer.sent += some;
  return some;
}

/// The body is sent once more where the server asks for the login first.
int send_again_from(void* to, curl_off_t place, int origin) {
  auto& transfer = *static_cast<Transfer*>(to);
  const bool fits =
      origin == SEEK_SET && place >= 0 && static_cast<std::size_t>(place) <= transfer.body->size();
  if (!fits) return CURL_SEEKFUNC_FAIL;
  transfer.sent = static_cast<std::size_t>(place);
  return CURL_SEEKFUNC_OK;
}

std::size_t take_some(char* from, std::size_t size, std::size_t count, void* to) {
  std::string& body = static_cast<Transfer*>(to)->answer.body;
  if (body.size() + size * count > longest_answer) return 0;
  body.append(from, size * count);
  return size * count;
}

int goes_on(void* to, curl_off_t, curl_off_t, curl_off_t, curl_off_t) {
  return (*static_cast<Transfer*>(to)->go_on)() ? 0 : 1;
}

struct FreeList {
  void operator()(curl_slist* list) const { curl_slist_free_all(list); }
};
using HeaderList = std::unique_ptr<curl_slist, FreeList>;

HeaderList header_list(const std::vector<std::string>& headers) {
  curl_slist* list = nullptr;
  for (const std::string& header : headers) list = curl_slist_append(list, header.c_str());
  // No waiting for a "100 Continue" that some servers never send.
  list = curl_slist_append(list, "Expect:");
  return HeaderList(list);
}

/// Whether the fault lies in what was set up rather than in the moment.
bool is_lasting(CURLcode code) {
  static constexpr std::array lasting{CURLE_PEER_FAILED_VERIFICATION, CURLE_SSL_CACERT_BADFILE,
                                      CURLE_SSL_CONNECT_ERROR,        CURLE_URL_MALFORMAT,
                                      CURLE_UNSUPPORTED_PROTOCOL,     CURLE_WEIRD_SERVER_REPLY};
  return std::find(lasting.begin(), lasting.end(), code) != lasting.end();
}

const char* advice(CURLcode code) {
  switch (code) {
    case CURLE_COULDNT_RESOLVE_HOST:
      return "the server's name is not known; is the network there, is url right?";
    case CURLE_COULDNT_CONNECT:
      return "no connection; is the server up, is the port right?";
    case CURLE_OPERATION_TIMEDOUT:
      return "no answer in time, or the connection is dead-slow";
    case CURLE_PEER_FAILED_VERIFICATION:
      return "its certificate is not good for it; nothing was sent. Ask who runs the server, or "
             "name the authority that signed it in ca_file";
    case CURLE_SSL_CACERT_BADFILE:
      return "the certificates in ca_file cannot be read";
    case CURLE_SSL_CONNECT_ERROR:
      return "does not speak TLS as it should; is it http:// rather than https://?";
    case CURLE_WRITE_ERROR:
      return "the answer is longer than any of a notebook";
    default:
      return "the connection failed";
  }
}

}  // namespace

struct HttpClient::Inner {
  HttpLogin login;
  std::function<bool()> go_on;
  CURL* handle = nullptr;
  std::array<char, CURL_ERROR_SIZE> words{};
  HttpAnswer last;

  ~Inner() { curl_easy_cleanup(handle); }

  template <class Value>
  void set(CURLoption option, Value value) {
    curl_easy_setopt(handle, option, value);
  }

  void prepare() {
    set(CURLOPT_NOSIGNAL, 1L);
    set(CURLOPT_PROTOCOLS_STR, "http,https");
    set(CURLOPT_FOLLOWLOCATION, 0L);
    set(CURLOPT_SSL_VERIFYPEER, 1L);
    set(CURLOPT_SSL_VERIFYHOST, 2L);
    set(CURLOPT_CONNECTTIMEOUT, connect_s);
    set(CURLOPT_LOW_SPEED_LIMIT, slow_bytes_per_s);
    set(CURLOPT_LOW_SPEED_TIME, slow_s);
    set(CURLOPT_ERRORBUFFER, words.data());
    set(CURLOPT_READFUNCTION, send_some);
    set(CURLOPT_SEEKFUNCTION, send_again_from);
    set(CURLOPT_WRITEFUNCTION, take_some);
    set(CURLOPT_XFERINFOFUNCTION, goes_on);
    set(CURLOPT_NOPROGRESS, 0L);
    if (!login.ca_file.empty()) {
      set(CURLOPT_CAINFO, login.ca_file.c_str());
      set(CURLOPT_CAPATH, nullptr);  // the system's besides would be trusted, too
    }
    if (login.user.empty()) return;
    set(CURLOPT_HTTPAUTH, static_cast<long>(login.digest ? CURLAUTH_DIGEST : CURLAUTH_BASIC));
    set(CURLOPT_USERNAME, login.user.c_str());
    set(CURLOPT_PASSWORD, login.password.c_str());
  }

  void set_up(const HttpRequest& request, const HeaderList& headers, Transfer& transfer) {
    set(CURLOPT_URL, request.url.c_str());
    // Passwords may go to this machine as they are; no proxy of the surroundings shall see them.
    set(CURLOPT_PROXY, is_loopback(authority_of(request.url)) ? "" : nullptr);
    set(CURLOPT_HTTPHEADER, headers.get());
    set(CURLOPT_UPLOAD, request.body ? 1L : 0L);
    if (request.body) {
      set(CURLOPT_INFILESIZE_LARGE, static_cast<curl_off_t>(request.body->size()));
    } else {
      set(CURLOPT_HTTPGET, 1L);
    }
    set(CURLOPT_CUSTOMREQUEST, request.method.c_str());
    void* const to = &transfer;
    set(CURLOPT_READDATA, to);
    set(CURLOPT_SEEKDATA, to);
    set(CURLOPT_WRITEDATA, to);
    set(CURLOPT_XFERINFODATA, to);
  }

  void finish(HttpAnswer& answer) const {
    long status = 0;
    curl_easy_getinfo(handle, CURLINFO_RESPONSE_CODE, &status);
    answer.status = static_cast<int>(status);
    const char* location = nullptr;
    curl_easy_getinfo(handle, CURLINFO_REDIRECT_URL, &location);
    if (location != nullptr) answer.location = location;
    curl_off_t retry_s = 0;
    curl_easy_getinfo(handle, CURLINFO_RETRY_AFTER, &retry_s);
    if (retry_s > 0) {
      answer.retry_after_s = static_cast<int>(std::min<curl_off_t>(retry_s, longest_retry_s));
    }
  }

  [[nodiscard]] Error failure(const std::string& url, CURLcode code) const {
    if (code == CURLE_ABORTED_BY_CALLBACK) return {Fault::try_later, url + ": stopped"};
    const char* const own = words[0] != '\0' ? words.data() : curl_easy_strerror(code);
    return {is_lasting(code) ? Fault::bad_configuration : Fault::unavailable,
            fmt::format("{}: {} ({})", url, advice(code), own)};
  }
};

HttpClient::HttpClient(HttpLogin login, std::function<bool()> go_on)
    : inner_(std::make_unique<Inner>()) {
  static const CURLcode ready = curl_global_init(CURL_GLOBAL_DEFAULT);
  inner_->login = std::move(login);
  inner_->go_on = std::move(go_on);
  if (ready == CURLE_OK) inner_->handle = curl_easy_init();
  if (inner_->handle != nullptr) inner_->prepare();
}

HttpClient::HttpClient(HttpClient&&) noexcept = default;
HttpClient& HttpClient::operator=(HttpClient&&) noexcept = default;
HttpClient::~HttpClient() = default;

const HttpAnswer& HttpClient::last() const {
  return inner_->last;
}

Result<HttpAnswer> HttpClient::ask(const HttpRequest& request) {
  if (inner_->handle == nullptr) return Error{Fault::io, "libcurl cannot be started"};
  Transfer transfer{request.body ? &*request.body : nullptr, 0, {}, &inner_->go_on};
  const HeaderList headers = header_list(request.headers);
  inner_->words[0] = '\0';
  inner_->last = {};
  inner_->set_up(request, headers, transfer);
  const CURLcode code = curl_easy_perform(inner_->handle);
  if (code != CURLE_OK) return inner_->failure(request.url, code);
  HttpAnswer& answer = transfer.answer;
  inner_->finish(answer);
  inner_->last = {answer.status, {}, answer.location, answer.retry_after_s};
  return std::move(transfer.answer);
}

}  // namespace nestcup
