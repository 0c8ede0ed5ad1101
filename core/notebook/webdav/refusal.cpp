#include "core/notebook/webdav/refusal.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace nestcup {
namespace {

struct Meaning {
  int status;
  Fault kind;
  const char* words;
};

constexpr std::array meanings{
    Meaning{400, Fault::bad_configuration,
            "the server does not understand the request; is url "
            "that of a WebDAV collection?"},
    Meaning{401, Fault::not_permitted,
            "the server does not take this login; look at user, the "
            "password and login in the bench file"},
    Meaning{403, Fault::not_permitted,
            "the server does not let this user do that there; ask who "
            "runs it"},
    Meaning{404, Fault::unavailable, "is not there; was it moved or renamed?"},
    Meaning{405, Fault::bad_configuration,
            "the server does no such thing there; is url that of a "
            "WebDAV collection?"},
    Meaning{409, Fault::unavailable,
            "the collection that it belongs into is not there; was it "
            "moved or renamed?"},
    Meaning{410, Fault::unavailable, "is there no longer; was it moved?"},
    Meaning{412, Fault::unavailable, "something else came to be there in the meantime"},
    Meaning{413, Fault::bad_data,
            "the server takes no file as large; ask who runs it to allow "
            "more, then nestcup sync"},
    Meaning{423, Fault::try_later, "somebody has locked it; it waits until they are done"},
    Meaning{429, Fault::try_later, "the server wants fewer requests"},
    Meaning{501, Fault::bad_configuration,
            "the server does no such thing; is url that of a WebDAV "
            "collection?"},
    Meaning{503, Fault::unavailable, "the server is busy or being looked after"},
    Meaning{507, Fault::io,
            "no room is left there, or the quota is full; make room, or ask who "
            "runs the server"},
};

}  // namespace

Error dav_refusal(const std::string& method, const std::string& where, const HttpAnswer& answer) {
  const auto known = std::find_if(meanings.begin(), meanings.end(), [&](const Meaning& meaning) {
    return meaning.status == answer.status;
  });
  Error error{Fault::unavailable, "the server is in trouble"};
  if (known != meanings.end()) {
    error = {known->kind, known->words};
  } else if (answer.status >= 300 && answer.status < 400) {
    error = {Fault::bad_configuration,
             answer.location.empty()
                 ? "the server sends elsewhere"
                 : fmt::format("the server sends elsewhere, to {}; if that is right, put it into "
                               "url",
                               answer.location)};
  } else if (answer.status < 500) {
    error = {Fault::bad_configuration, "the server gives an answer that no WebDAV server should"};
  }
  if (answer.retry_after_s) error.text += fmt::format("; it asks for {} s", *answer.retry_after_s);
  error.text = fmt::format("{}: {} ({} {})", where, error.text, method, answer.status);
  return error;
}

}  // namespace nestcup
