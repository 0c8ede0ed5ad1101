#include "core/notebook/crate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <nlohmann/json.hpp>
#include <set>
#include <utility>

#include "core/base/canonical_json.hpp"
#include "core/base/digest.hpp"
#include "core/base/version.hpp"
#include "core/notebook/crate_checks.hpp"
#include "core/notebook/unit_code.hpp"

namespace nestcup {

using Json = nlohmann::ordered_json;

namespace {

constexpr const char* crate_context = "https://w3id.org/ro/crate/1.1/context";
constexpr const char* crate_version = "https://w3id.org/ro/crate/1.1";
constexpr const char* software_id = "#nestcup";
constexpr const char* publisher_id = "#publisher";

Json reference_to(const std::string& id) {
  return Json{{"@id", id}};
}

Json crate_node(const std::string& id, const char* type) {
  return Json{{"@id", id}, {"@type", type}};
}

/// An .eln file has no empty values: what is not known is not there.
void put_known(Json& node, const char* key, const std::string& text) {
  if (!text.empty()) node[key] = text;
}
void put_known(Json& node, const char* key, Json list) {
  if (!list.empty()) node[key] = std::move(list);
}

std::string joined_words(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) {
    if (!word.empty()) text += (text.empty() ? "" : ", ") + word;
  }
  return text;
}

/// Writes the graph of a crate whose facts are checked.
class CrateGraph {
 public:
  explicit CrateGraph(const CrateFacts& facts) : facts_(facts) {}

  Json document() {
    for (std::size_t i = 0; i < facts_.people.size(); ++i) {
      const std::string address = orcid_address(facts_.people[i].orcid);
      authors_.push_back(
          reference_to(address.empty() ? fmt::format("#person-{}", i + 1) : address));
    }
    graph_.push_back(descriptor());
    graph_.push_back(root());
    for (const BundleFile& file : facts_.files) add_file("", file);
    for (const CrateRun& run : facts_.runs) add_run(run);
    add_people();
    add_publisher();
    add_licence();
    add_tools();
    return Json{{"@context", crate_context}, {"@graph", std::move(graph_)}};
  }

 private:
  static std::string folder_id(const CrateRun& run) { return path_reference(run.folder) + "/"; }
  static std::string act_id(const CrateRun& run) { return "#record-" + path_reference(run.folder); }
  static std::string bench_id(const std::string& bench) {
    return "#bench-" + path_reference(bench);
  }

  Json descriptor() const {
    Json node = crate_node(crate_metadata_name, "CreativeWork");
    node["about"] = reference_to("./");
    node["conformsTo"] = reference_to(crate_version);
    node["dateCreated"] = facts_.date_published;
    node["sdPublisher"] = reference_to(publisher_id);
    return node;
  }

  Json root() const {
    Json parts = Json::array();
    Json acts = Json::array();
    for (const BundleFile& file : facts_.files)
      parts.push_back(reference_to(path_reference(file.path)));
    for (const CrateRun& run : facts_.runs) {
      parts.push_back(reference_to(folder_id(run)));
      acts.push_back(reference_to(act_id(run)));
    }
    Json node = crate_node("./", "Dataset");
    node["name"] = facts_.name;
    node["description"] = facts_.description;
    node["datePublished"] = facts_.date_published;
    const CrateLicence& licence = facts_.licence;
    node["license"] = licence.url.empty() ? Json(licence.text) : reference_to(licence.url);
    put_known(node, "author", authors_);
    put_known(node, "hasPart", std::move(parts));
    put_known(node, "mentions", std::move(acts));
    return node;
  }

  void add_file(const std::string& folder, const BundleFile& file) {
    Json node = crate_node(folder + path_reference(file.path), "File");
    node["name"] = file.path.substr(file.path.rfind('/') + 1);
    put_known(node, "description", file.about);
    node["encodingFormat"] = file.media_type.empty() ? "application/octet-stream" : file.media_type;
    // The .eln format wants bytes as a text without unit.
    node["contentSize"] = std::to_string(file.bytes.size());
    node["sha256"] = sha256_hex(file.bytes);
    graph_.push_back(std::move(node));
  }

  void add_run(const CrateRun& run) {
    Json parts = Json::array();
    for (const BundleFile& file : run.files) {
      parts.push_back(reference_to(folder_id(run) + path_reference(file.path)));
    }
    Json measured = Json::array();
    std::vector<Json> values;
    for (const CrateMeasured& number : run.measured) {
      for (Json& value : value_nodes(run, number)) {
        measured.push_back(reference_to(value.at("@id").get<std::string>()));
        values.push_back(std::move(value));
      }
    }
    Json node = crate_node(folder_id(run), "Dataset");
    node["name"] = run.name;
    put_known(node, "identifier", run.identifier);
    node["genre"] = "experiment";
    put_known(node, "author", authors_);
    put_known(node, "dateCreated", run.date_created);
    put_known(node, "dateModified", run.date_modified);
    put_known(node, "description", run.text);
    put_known(node, "text", run.text);
    put_known(node, "keywords", joined_words(run.keywords));
    put_known(node, "variableMeasured", std::move(measured));
    put_known(node, "hasPart", parts);
    graph_.push_back(std::move(node));
    for (const BundleFile& file : run.files) add_file(folder_id(run), file);
    for (Json& value : values) graph_.push_back(std::move(value));
    add_act(run, std::move(parts));
  }

  /// The number, and its standard uncertainty as a number of its own that it points to.
  static std::vector<Json> value_nodes(const CrateRun& run, const CrateMeasured& number) {
    const auto node = [&](const std::string& property, const std::string& name, double value) {
      Json made = crate_node(
          fmt::format("#value-{}/{}", path_reference(run.folder), path_reference(property)),
          "PropertyValue");
      made["propertyID"] = property;
      made["name"] = name;
      made["value"] = value;
      put_known(made, "unitText", number.unit_text);
      const std::string_view code = ucum_code(number.unit_text);
      // schema.org: codes other than those of UN/CEFACT carry the name of their list.
      if (!code.empty()) made["unitCode"] = fmt::format("UCUM:{}", code);
      return made;
    };
    std::vector<Json> nodes = {node(number.property_id, number.name, number.value)};
    if (number.u) {
      nodes.push_back(node(number.property_id + ".u",
                           number.name + ", standard uncertainty (k = 1)", *number.u));
      nodes[0]["valueReference"] = reference_to(nodes[1].at("@id").get<std::string>());
    }
    return nodes;
  }

  /// That this program made the record, with which bench, out of what.
  void add_act(const CrateRun& run, Json results) {
    Json node = crate_node(act_id(run), "CreateAction");
    node["name"] = fmt::format("nestcup recorded and analysed: {}", run.name);
    put_known(node, "startTime", run.date_created);
    put_known(node, "endTime", run.date_modified);
    put_known(node, "agent", authors_);
    Json tools = Json::array({reference_to(software_id)});
    if (!run.bench.empty()) tools.push_back(reference_to(bench_id(run.bench)));
    node["instrument"] = std::move(tools);
    results.insert(results.begin(), reference_to(folder_id(run)));
    node["result"] = std::move(results);
    graph_.push_back(std::move(node));
  }

  void add_people() {
    for (std::size_t i = 0; i < facts_.people.size(); ++i) {
      Json node = crate_node(authors_[i].at("@id").get<std::string>(), "Person");
      node["name"] = facts_.people[i].name;
      graph_.push_back(std::move(node));
    }
  }

  void add_publisher() {
    Json node = crate_node(publisher_id, "Organization");
    node["name"] = facts_.publisher.name;
    put_known(node, "url", facts_.publisher.url);
    graph_.push_back(std::move(node));
  }

  void add_licence() {
    if (facts_.licence.url.empty()) return;
    Json node = crate_node(facts_.licence.url, "CreativeWork");
    node["name"] = facts_.licence.text;
    node["description"] = facts_.licence.text;
    graph_.push_back(std::move(node));
  }

  void add_tools() {
    Json software = crate_node(software_id, "SoftwareApplication");
    software["name"] = "nestcup";
    software["description"] = "Coffee-cup calorimetry from the serial port to the run record";
    software["softwareVersion"] = version_text;
    graph_.push_back(std::move(software));
    std::set<std::string> benches;
    for (const CrateRun& run : facts_.runs) {
      if (run.bench.empty() || !benches.insert(run.bench).second) continue;
      Json node = crate_node(bench_id(run.bench), "IndividualProduct");
      node["name"] = run.bench;
      node["description"] = "Coffee-cup calorimeter with temperature probes on a serial port";
      graph_.push_back(std::move(node));
    }
  }

  const CrateFacts& facts_;
  Json graph_ = Json::array();
  Json authors_ = Json::array();
};

}  // namespace

Result<std::string> crate_metadata(const CrateFacts& facts) {
  if (auto good = check_crate(facts); !good) return good.error();
  const Json document = CrateGraph(facts).document();
  // Words that are not UTF-8, wherever they stand, show here.
  if (auto sound = canonical_json(document); !sound) return sound.error();
  return document.dump(2) + "\n";
}

Result<std::vector<BundleFile>> crate_files(CrateFacts facts) {
  Result<std::string> metadata = crate_metadata(facts);
  if (!metadata) return metadata.error();
  std::vector<BundleFile> files = {{crate_metadata_name, std::move(*metadata),
                                    "application/ld+json", "What is in this crate (RO-Crate 1.1)"}};
  const auto take = [&](std::vector<BundleFile> more) {
    std::move(more.begin(), more.end(), std::back_inserter(files));
  };
  take(std::move(facts.files));
  for (CrateRun& run : facts.runs) take(below_folder(run.folder, std::move(run.files)));
  return files;
}

}  // namespace nestcup
