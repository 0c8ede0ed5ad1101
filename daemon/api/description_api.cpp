#include "daemon/api/description_api.hpp"

#include <utility>

namespace nestcup::daemon {
namespace {

Route document_at(std::string path, std::string text) {
  Response response;
  response.body = std::move(text);
  return {"GET", std::move(path), answer_at_once([response](const Request&) { return response; })};
}

}  // namespace

void add_description_routes(Router& router) {
  router.add(document_at("/v1/openapi.json", description_text()));
  router.add(document_at("/v1/run_record.schema.json", record_schema_text()));
}

}  // namespace nestcup::daemon
