// The words of each rule of the attention list.
#pragma once

#include "cli/client.h"

namespace wrackline::cli {

struct AttentionWords {
  const char* word;  // For programs.
  const char* text;
};
AttentionWords attention_words(AttentionRule rule);

}  // namespace wrackline::cli
