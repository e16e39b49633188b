// A photo of a code, from the camera of a telephone: looked at in a process of its own, answered with what it holds. For a
// script as JSON, else the form comes back with the field filled.
#include "report/photo/looking.h"

#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/recording.h"
#include "report/desk/several.h"

namespace trayproof::desk {
namespace {

using json::Value;

constexpr std::string_view front = "photo.";

// Parts with something in them: a field that was left alone sends an empty one.
std::vector<const Part*> photos_in(const Request& request) {
  std::vector<const Part*> photos;
  for (const Part& part : request.parts) {
    if (!part.file_name.empty() && part.name.starts_with(front)) photos.push_back(&part);
  }
  return photos;
}

// Into a field that holds one, or below what stands in one that holds many.
void put(std::vector<std::pair<std::string, std::string>>& fields, const std::string& name, const std::string& code,
         bool many) {
  const std::string into = many ? name + ".more" : name;
  for (auto& [field, value] : fields) {
    if (field != into) continue;
    value = many && !value.empty() ? value + "\n" + code : code;
    return;
  }
  fields.emplace_back(into, code);
}

Result<Response> filled_form(Asked& asked, const std::vector<const Part*>& photos) {
  const events::Kind* kind = events::find_kind(asked.form.filled("photo-form").value_or(""));
  if (kind == nullptr || !kind->recordable() || asked.who.level() < Who::name)
    return Error(ErrorCode::invalid, say("form.photo-missing"));
  const bool several = is_several(*kind, asked.form);
  auto fields = asked.form.all();
  events::Refusals refused;
  for (const Part* photo : photos) {
    const std::string name = photo->name.substr(front.size());
    const events::Field* field = kind->field(name);
    if (field == nullptr) continue;
    TRY_LET(const auto looked, photo::look_apart(as_bytes(photo->bytes)));
    if (looked.seen != photo::Seen::code) {
      refused.push_back({0, name, photo::sentence_of(looked)});
      continue;
    }
    const bool many = field->type == events::Type::id_list || (several && name == "pack");
    put(fields, name, looked.codes.front(), many);
  }
  return form_page(asked,
                   {.kind = *kind,
                    .values = Fields(std::move(fields)),
                    .refused = std::move(refused),
                    .several = several});
}

}  // namespace

Result<Response> answer_photo(Asked& asked) {
  const auto photos = photos_in(asked.request);
  if (photos.empty()) return Error(ErrorCode::invalid, say("form.photo-missing"));
  if (!asked.request.head.header("accept").starts_with("application/json")) return filled_form(asked, photos);
  TRY_LET(const auto looked, photo::look_apart(as_bytes(photos.front()->bytes)));
  if (looked.seen != photo::Seen::code) return json_response(problem("no-code", photo::sentence_of(looked)), 422);
  return json_response(Value::object().set("code", looked.codes.front()));
}

}  // namespace trayproof::desk
