#include "core/record/seal.hpp"

#include "core/base/canonical_json.hpp"
#include "core/base/digest.hpp"

namespace nestcup {

std::string content_sha256(const Json& record) {
  Json content = record;
  for (const char* key :
       {"content_sha256", "id", "revision", "status", "started_at", "mixed_at", "finished_at"}) {
    content.erase(key);
  }
  const auto text = canonical_json(content);
  return text ? sha256_hex(*text) : std::string();
}

void seal(Json& record) {
  record["content_sha256"] = content_sha256(record);
}

}  // namespace nestcup
