"""What a slide can be."""

TITLE, CAMPS, HANDS, CHANGE, ANSWER, LUCK = "title", "camps", "hands", "change", "answer", "luck"
SHORT, WHO, FILM, WHY, ROCK, CAVEATS, SOURCES = "short", "who", "film", "why", "rock", "caveats", "sources"
RACK, FRONT, LIFE = "rack", "front", "life"
