#include "daemon/control/message.hpp"

#include "core/base/fault_name.hpp"

namespace nestcup::daemon {

Response json_response(const nlohmann::json& value, unsigned status) {
  Response response;
  response.status = status;
  response.body = value.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  return response;
}

Response error_response(const Error& error) {
  return error_response(status_of(error.kind), error.kind, error.text);
}

Response error_response(unsigned status, Fault kind, std::string_view text) {
  return json_response({{"error", {{"kind", fault_name(kind)}, {"text", text}}}}, status);
}

unsigned status_of(Fault kind) {
  switch (kind) {
    case Fault::usage:
      return 400;
    case Fault::not_permitted:
      return 403;
    case Fault::no_input:
      return 404;
    case Fault::try_later:
      return 409;
    case Fault::bad_data:
      return 422;
    case Fault::unavailable:
      return 503;
    case Fault::cannot_create:
    case Fault::io:
    case Fault::bad_configuration:
      return 500;
  }
  return 500;
}

}  // namespace nestcup::daemon
