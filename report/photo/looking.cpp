#include "report/photo/looking.h"

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/photo/code.h"
#include "report/photo/picture.h"

namespace trayproof::photo {

Looked look(ByteView picture) {
  auto read = read_picture(picture);
  if (const auto* none = std::get_if<NoPicture>(&read))
    return {.seen = *none == NoPicture::too_large ? Seen::too_large : Seen::no_picture};
  Looked out{.seen = Seen::none, .codes = codes_in(std::get<Grey>(read))};
  if (out.codes.size() == 1) out.seen = Seen::code;
  if (out.codes.size() > 1) out.seen = Seen::several;
  return out;
}

std::string sentence_of(const Looked& looked) {
  constexpr std::size_t named_at_most = 3;
  std::string codes;
  switch (looked.seen) {
    case Seen::code:
    case Seen::none:
      return say("photo.none");
    case Seen::several:
      for (std::size_t i = 0; i < looked.codes.size() && i < named_at_most; ++i)
        codes += (i == 0 ? "" : ", ") + looked.codes[i];
      return say("photo.several", {{"codes", codes}});
    case Seen::no_picture:
      return say("photo.no-picture");
    case Seen::too_large:
      return say("photo.too-large", {{"megabytes", std::to_string(limits::photo_bytes >> 20U)},
                                     {"megapixels", std::to_string(limits::photo_pixels / 1'000'000)}});
  }
  return say("photo.none");
}

}  // namespace trayproof::photo
